import { useId, useState } from 'react';
import type { CollectionDue } from '../api/shapes';
import { locale } from '../format/locale';
import { formatAmount } from '../format/money';
import { readTypedAmount } from '../format/typed-amount';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { roundsKey } from './queries';

const text = words.rounds.rhythm;

/** How often a site is visited, and with how much cash in one box before that. */
export function RhythmDialog({ site, onClose }: { readonly site: CollectionDue; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const { currency } = site.cash;
  const [days, setDays] = useState(site.everyDays === null ? '' : String(site.everyDays));
  const [limit, setLimit] = useState(site.boxLimit === null ? '' : formatAmount(site.boxLimit, locale));
  const fields = { everyDays: `${id}-days`, boxLimit: `${id}-limit` };
  const { errors, busy, submit } = useSending({ send: api.setRhythm, fields, changes: [roundsKey], onDone: onClose });
  const save = () => {
    const boxLimit = limit.trim() === '' ? null : readTypedAmount({ text: limit, currency, locale });
    submit({ siteId: site.siteId, everyDays: Number(days), boxLimit: boxLimit === null ? null : { ...boxLimit } }, [
      unless(/^\d{1,3}$/.test(days.trim()) && Number(days) >= 1 && Number(days) <= 366, fields.everyDays, text.daysMissing),
      unless(limit.trim() === '' || boxLimit !== null, fields.boxLimit, text.limitWrong),
    ]);
  };
  return (
    <FormDialog title={text.title(site.siteName)} errors={errors} busy={busy} action={text.action} onSubmit={save} onClose={onClose}>
      <Field id={fields.everyDays} label={text.everyDays} inputMode="numeric" autoComplete="off" error={errorAt(errors, fields.everyDays)} value={days} onValue={setDays} />
      <Field id={fields.boxLimit} label={text.limit(currency)} hint={text.limitHint} inputMode="decimal" autoComplete="off" error={errorAt(errors, fields.boxLimit)} value={limit} onValue={setLimit} />
    </FormDialog>
  );
}
