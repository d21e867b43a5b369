import { useQueryClient } from '@tanstack/react-query';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { codeOf } from '../api/problem';
import { saveFile } from './save-file';
import { useMutation } from './use-mutation';

interface StatementLinkProps {
  readonly settlementId: string;
  /** Whose statement, for those who hear the button without the row around it. */
  readonly about: string;
  readonly main?: boolean;
}

/** Downloads one signed statement. It is fetched, not linked: the request has to name the operator. */
export function StatementLink({ settlementId, about, main = false }: StatementLinkProps) {
  const { api } = useOperator();
  const client = useQueryClient();
  const downloading = useMutation({
    mutationFn: async () => {
      const { blob, fileName } = await api.statement(settlementId);
      saveFile(blob, fileName);
    },
    // To the people of a site it is no longer new.
    onSuccess: () => client.invalidateQueries({ queryKey: ['site-view'] }),
  });
  return (
    <>
      <button
        type="button" className={main ? 'button button-main' : 'button-plain'} aria-disabled={downloading.isPending}
        onClick={() => downloading.mutate()}
      >
        {downloading.isPending ? words.working : main ? words.statement.download : words.statement.short}
        <span className="visually-hidden">{` ${about}`}</span>
      </button>
      {downloading.isError ? (
        <div role="alert" className="field-error small">
          {words.statement.refused(codeOf(downloading.error))}
        </div>
      ) : null}
    </>
  );
}
