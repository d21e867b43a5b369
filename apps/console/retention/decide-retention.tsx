import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { LONGEST_KEPT } from '#domain/retention/kinds';
import type { RetentionRule } from '../api/shapes';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { goesInWords } from './in-words';
import { previewQuery, retentionKey } from './queries';

const text = words.retention;

/** Asks for how long records of a kind are kept, and says meanwhile what would go. */
export function DecideRetention({ rule, onClose }: { readonly rule: RetentionRule; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const { kind, unit, least, usual } = rule;
  const most = LONGEST_KEPT[unit];
  const [isForever, setForever] = useState(rule.keep === null && rule.decided !== null);
  const [number, setNumber] = useState(String(rule.keep ?? usual));
  const [reason, setReason] = useState('');
  const keep = /^\d{1,5}$/.test(number.trim()) ? Number(number) : 0;
  const isRight = isForever || (keep >= least && keep <= most);
  const preview = useQuery({ ...previewQuery(api, { kind, keep }), enabled: isRight && !isForever });
  const fields = { keep: `${id}-keep`, reason: `${id}-reason` };
  const { errors, busy, submit } = useSending({ send: api.decideRetention, fields, changes: [retentionKey], onDone: onClose });
  const send = () =>
    submit({ kind, keep: isForever ? null : keep, reason }, [unless(isRight, fields.keep, text.wrongNumber({ least, most })), unless(reason.trim().length >= 3, fields.reason, words.reasonMissing)]);
  return (
    <FormDialog title={text.changeTitle(text.names[kind])} lead={text.changeLead} errors={errors} busy={busy} action={text.save} onSubmit={send} onClose={onClose}>
      <label>
        <input type="checkbox" checked={isForever} onChange={(event) => setForever(event.currentTarget.checked)} /> {text.forever}
      </label>
      {isForever ? null : (
        <Field
          id={fields.keep} label={unit === 'days' ? text.inDays : text.inYears} hint={text.least(least)} inputMode="numeric" autoComplete="off"
          error={errorAt(errors, fields.keep)} value={number} onValue={setNumber}
        />
      )}
      {isForever || !isRight || preview.data === undefined ? null : <p aria-live="polite">{text.wouldGo(goesInWords(preview.data, kind))}</p>}
      <Field id={fields.reason} label={words.reason} autoComplete="off" error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} />
    </FormDialog>
  );
}
