import { startDownload } from '../parts/save-file';
import { TroubleNotice } from '../parts/trouble';
import { useMutation } from '../parts/use-mutation';
import { useOperator } from '../session/operator';
import { words } from '../words/words';

interface DownloadAllProps {
  readonly closeId: string;
  readonly name: string;
}

/**
 * All issued statements of the period in one ZIP file. The browser's own download and no request of ours: it shows how far it is, and can
 * go on with a download that broke off. It could not ask whoever's session has expired, so the close is asked for first.
 */
export function DownloadAll({ closeId, name }: DownloadAllProps) {
  const { api, membership, may } = useOperator();
  const starting = useMutation({ mutationFn: () => api.close(closeId), onSuccess: () => startDownload(`/v1/closes/${closeId}/statements?operator=${membership.id}`) });
  if (!may('statement-archive.read')) return null;
  return (
    <>
      <button type="button" className="button" aria-disabled={starting.isPending} onClick={() => starting.mutate()}>
        {starting.isPending ? words.working : words.statement.all}
        <span className="visually-hidden">{` ${name}`}</span>
      </button>
      {starting.isError ? <TroubleNotice error={starting.error} /> : null}
    </>
  );
}
