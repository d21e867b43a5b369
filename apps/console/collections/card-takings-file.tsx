import { useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { CardFile } from '../api/card-takings-api';
import type { OperatorApi } from '../api/operator-api';
import type { FormError } from '../parts/error-summary';
import { FileField } from '../parts/file-field';
import { FormDialog } from '../parts/form-dialog';
import { formErrorsOf } from '../parts/form-errors';
import { errorAt } from '../parts/form';
import { SelectField } from '../parts/select-field';
import { useMutation } from '../parts/use-mutation';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { cardChanges } from './card-takings-forms';

const text = words.besideCounts.cards;

export type CardFileRecorded = Awaited<ReturnType<OperatorApi['recordCardFile']>>;

interface CardTakingsFileProps {
  readonly onRecorded: (recorded: CardFileRecorded) => void;
  readonly onClose: () => void;
}

/** A file of card takings by day: all of its lines, or none. */
export function CardTakingsFile({ onRecorded, onClose }: CardTakingsFileProps) {
  const { api } = useOperator();
  const client = useQueryClient();
  const id = useId();
  const [file, setFile] = useState<File | null>(null);
  const [decimalMark, setMark] = useState('');
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const fieldId = `${id}-file`;
  const sending = useMutation({
    mutationFn: api.recordCardFile,
    onSuccess: async (recorded) => {
      await Promise.all(cardChanges.map((queryKey) => client.invalidateQueries({ queryKey })));
      onRecorded(recorded);
    },
    onError: (error) => setErrors(formErrorsOf(error, { elsewhere: (place, message) => ({ fieldId, message: placed(place, message) }) })),
  });
  const mark: CardFile['decimalMark'] = decimalMark === '.' || decimalMark === ',' ? decimalMark : null;
  const submit = () => {
    setErrors(file === null ? [{ fieldId, message: words.imports.fileMissing }] : []);
    if (file !== null) sending.mutate({ file, decimalMark: mark });
  };
  return (
    <FormDialog title={text.fromFile} lead={text.fileLead} errors={errors} busy={sending.isPending} action={text.record} onSubmit={submit} onClose={onClose}>
      <FileField id={fieldId} label={words.imports.chooseFile} hint={text.fileHint} error={errorAt(errors, fieldId)} accept=".csv,text/csv" onFile={setFile} />
      <SelectField id={`${id}-mark`} label={words.imports.decimalMark} value={decimalMark} none={words.imports.decimalMarks.usual} options={(['.', ','] as const).map((value) => ({ value, text: words.imports.decimalMarks[value] }))} onValue={setMark} />
    </FormDialog>
  );
}

/** `#/lines/3/gross` is the column `gross` in line 3; of the first line only the column is named. */
function placed(place: string, message: string): string {
  const [, line, column] = /^#\/lines\/(\d+)\/(\w+)/.exec(place) ?? [];
  return line === undefined || column === undefined ? words.imports.headError(place, message) : text.lineError(line, column, message);
}
