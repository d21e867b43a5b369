import { useMutation, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { useNavigate } from 'react-router';
import type { Upload } from '../api/operator-api';
import { troubleOf } from '../api/problem';
import { ErrorSummary, type FormError } from '../parts/error-summary';
import { describe } from '../parts/trouble';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import styles from './imports.module.css';

type DecimalMark = Upload['decimalMark'];

/** Hands the file over. Nothing enters the books here: the api keeps it aside and says what it found. */
export function UploadForm() {
  const { api, to } = useOperator();
  const client = useQueryClient();
  const navigate = useNavigate();
  const [file, setFile] = useState<File | null>(null);
  const [decimalMark, setDecimalMark] = useState<DecimalMark>(null);
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const uploading = useMutation({
    mutationFn: api.upload,
    onSuccess: async (staged) => {
      await client.invalidateQueries({ queryKey: ['imports', 'list'] });
      void navigate(to(`imports/${staged.id}`));
    },
    onError: (error) => setErrors(refusedBecause(error)),
  });
  const submit = () => {
    const missing = file === null ? [{ fieldId: 'file', message: words.imports.fileMissing }] : [];
    setErrors(missing);
    if (file !== null) uploading.mutate({ file, decimalMark });
  };
  return (
    <form
      className={styles.upload}
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        if (!uploading.isPending) submit();
      }}
    >
      <ErrorSummary errors={errors} />
      <div className="field">
        <label htmlFor="file">{words.imports.chooseFile}</label>
        <input
          id="file" type="file" accept=".csv,text/csv" aria-invalid={errors.some((each) => each.fieldId === 'file')}
          onChange={(event) => setFile(event.currentTarget.files?.[0] ?? null)}
        />
      </div>
      <fieldset className={styles.marks}>
        <legend>{words.imports.decimalMark}</legend>
        {([null, '.', ','] as const).map((mark) => (
          <label key={mark ?? 'usual'}>
            <input type="radio" name="decimal-mark" checked={decimalMark === mark} onChange={() => setDecimalMark(mark)} />
            {words.imports.decimalMarks[mark ?? 'usual']}
          </label>
        ))}
      </fieldset>
      <div>
        <button type="submit" className="button button-main" aria-disabled={uploading.isPending}>
          {uploading.isPending ? words.imports.checking : words.imports.check}
        </button>
      </div>
    </form>
  );
}

function refusedBecause(error: unknown): FormError[] {
  const trouble = troubleOf(error);
  if (trouble === null) throw error;
  const { title, text } = describe(trouble);
  return [{ fieldId: null, message: [title, ...text].join('. ') }];
}
