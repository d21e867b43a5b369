import { useId, useState } from 'react';
import type { CardFile } from '../api/card-takings-api';
import type { OperatorApi } from '../api/operator-api';
import { FileField } from '../parts/file-field';
import { FormDialog } from '../parts/form-dialog';
import { errorAt } from '../parts/form';
import { SelectField } from '../parts/select-field';
import { unless, useSending } from '../parts/use-sending';
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
  const id = useId();
  const [file, setFile] = useState<File | null>(null);
  const [decimalMark, setMark] = useState('');
  const fieldId = `${id}-file`;
  const { errors, busy, submit } = useSending({ send: api.recordCardFile, fields: {}, elsewhere: (place, message) => ({ fieldId, message: placed(place, message) }), changes: cardChanges, onDone: onRecorded });
  const mark: CardFile['decimalMark'] = decimalMark === '.' || decimalMark === ',' ? decimalMark : null;
  const send = () => submit({ file: file ?? new File([], ''), decimalMark: mark }, [unless(file !== null, fieldId, words.imports.fileMissing)]);
  return (
    <FormDialog title={text.fromFile} lead={text.fileLead} errors={errors} busy={busy} action={text.record} onSubmit={send} onClose={onClose}>
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
