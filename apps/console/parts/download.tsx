import { words } from '../words/words';
import { saveFile } from './save-file';
import { useMutation } from './use-mutation';

interface DownloadProps {
  /** What the button says where the file is no plain CSV. */
  readonly text?: string;
  /** Among other commands of a row. */
  readonly plain?: boolean;
  readonly file: () => Promise<{ blob: Blob; fileName: string }>;
}

/** Saves a file. It is fetched, not linked: the request has to name the operator. */
export function Download({ text = words.download, plain = false, file }: DownloadProps) {
  const downloading = useMutation({
    mutationFn: async () => {
      const { blob, fileName } = await file();
      saveFile(blob, fileName);
    },
  });
  return (
    <div>
      <button type="button" className={plain ? 'button-plain' : 'button'} aria-disabled={downloading.isPending} onClick={() => (downloading.isPending ? undefined : downloading.mutate())}>
        {downloading.isPending ? words.working : text}
      </button>
      {downloading.isError ? (
        <div role="alert" className="field-error small">
          {words.downloadRefused}
        </div>
      ) : null}
    </div>
  );
}
