import { Labelled } from './labelled';

interface FileFieldProps {
  readonly id: string;
  readonly label: string;
  readonly hint?: string | undefined;
  readonly error?: string | undefined;
  /** Kinds of file that the browser offers first. */
  readonly accept?: string;
  readonly onFile: (file: File | null) => void;
}

/**
 * One file, with its label, hint and error tied to it. Whoever has put a file right chooses it once more: the choice is
 * emptied first, because the browser would say nothing of the same name, and would not read a file that was changed.
 */
export function FileField({ id, label, hint, error, accept, onFile }: FileFieldProps) {
  return (
    <Labelled
      id={id} label={label} hint={hint} error={error}
      control={(tied) => (
        <input
          {...tied} type="file" accept={accept}
          onClick={(event) => {
            event.currentTarget.value = '';
            onFile(null);
          }}
          onChange={(event) => onFile(event.currentTarget.files?.[0] ?? null)}
        />
      )}
    />
  );
}
