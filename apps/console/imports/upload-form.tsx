import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { useNavigate } from 'react-router';
import type { Upload } from '../api/imports-api';
import type { FormError } from '../parts/error-summary';
import { FileField } from '../parts/file-field';
import { errorAt, Form } from '../parts/form';
import { formErrorsOf } from '../parts/form-errors';
import { useMutation } from '../parts/use-mutation';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import styles from './imports.module.css';

type DecimalMark = Upload['decimalMark'];

/** Hands the file over. Nothing enters the books here: the api keeps it aside and says what it found. */
export function UploadForm({ kind }: { readonly kind: Upload['kind'] }) {
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
      void navigate(to(`collections/imports/${staged.id}`));
    },
    onError: (error) => setErrors(formErrorsOf(error, { elsewhere: (column, message) => ({ fieldId: 'file', message: words.imports.headError(column, message) }) })),
  });
  const submit = () => {
    const missing = file === null ? [{ fieldId: 'file', message: words.imports.fileMissing }] : [];
    setErrors(missing);
    if (file !== null) uploading.mutate({ file, kind, decimalMark });
  };
  return (
    <Form errors={errors} busy={uploading.isPending} action={words.imports.check} onSubmit={submit}>
      <FileField id="file" label={words.imports.chooseFile} error={errorAt(errors, 'file')} accept=".csv,text/csv" onFile={setFile} />
      {kind === 'keys' ? null : (
        <fieldset className={styles.marks}>
          <legend>{words.imports.decimalMark}</legend>
          {([null, '.', ','] as const).map((mark) => (
            <label key={mark ?? 'usual'}>
              <input type="radio" name="decimal-mark" checked={decimalMark === mark} onChange={() => setDecimalMark(mark)} />
              {words.imports.decimalMarks[mark ?? 'usual']}
            </label>
          ))}
        </fieldset>
      )}
    </Form>
  );
}
