import { useId, useState } from 'react';
import type { FieldCountCorrection } from '../api/collections-api';
import type { Collection, FieldCount } from '../api/shapes';
import { locale } from '../format/locale';
import { formatAmount, formatMoney, unitsOf } from '../format/money';
import { readTypedAmount } from '../format/typed-amount';
import { Booking, type Filled } from '../parts/booking';
import { reasonErrors } from '../parts/booking-fields';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { changedByCorrection, OwnFigure } from './correcting';

const text = words.entered;
const tenders = ['coin', 'note'] as const;

interface CorrectFieldCountProps {
  readonly collection: Collection;
  readonly count: FieldCount;
  readonly onClose: () => void;
}

/** Other figures in the place of a count at the machine. The room's count settles, so the takings stay. */
export function CorrectFieldCount({ collection, count, onClose }: CorrectFieldCountProps) {
  const { api } = useOperator();
  const id = useId();
  const { currency } = count.coin;
  const [typed, setTyped] = useState({ coin: formatAmount(count.coin, locale), note: formatAmount(count.note, locale) });
  const [reason, setReason] = useState('');
  const fields = { coin: `${id}-coin`, note: `${id}-note`, reason: `${id}-reason` };
  const read = (): Filled<FieldCountCorrection> => {
    const [coin, note] = tenders.map((tender) => readTypedAmount({ text: typed[tender], currency, locale, zero: true }));
    const example = formatAmount({ amount: '12.50', currency }, locale);
    const wrong = [
      ...(coin === null ? [{ fieldId: fields.coin, message: `${text.counts.coin}: ${text.amountWrong(example)}` }] : []),
      ...(note === null ? [{ fieldId: fields.note, message: `${text.counts.note}: ${text.amountWrong(example)}` }] : []),
    ];
    const becomes = tenders.flatMap((tender) => {
      const now = tender === 'coin' ? coin : note;
      return now === null || now === undefined || unitsOf(now) === unitsOf(count[tender]) ? [] : [text.becomes({ what: text.counts[tender], from: formatMoney(count[tender], locale), to: formatMoney(now, locale) })];
    });
    const errors = [...wrong, ...(wrong.length === 0 && becomes.length === 0 ? [{ fieldId: fields.coin, message: text.unchanged }] : []), ...reasonErrors({ fieldId: fields.reason, reason })];
    if (coin === null || coin === undefined || note === null || note === undefined || errors.length > 0) return { errors };
    return { body: { fieldCountId: count.id, coin, note, reason: reason.trim() }, books: [...becomes, text.takingsSame, text.stays, words.booking.because(reason.trim())] };
  };
  return (
    <Booking
      title={text.correctOne(text.atMachines.countOf(count.machineTag))} action={text.correctOne(text.count)} read={read} fields={fields} refresh={['collections']} alsoRefresh={changedByCorrection} onClose={onClose}
      send={(body, key) => api.correctFieldCount(collection.id, body, key)}
    >
      {(errors) => (
        <>
          <OwnFigure collection={collection} recordedBy={count.recordedBy} />
          {tenders.map((tender) => (
            <Field key={tender} id={fields[tender]} label={text.counts[tender]} inputMode="decimal" autoComplete="off" error={errorAt(errors, fields[tender])} value={typed[tender]} onValue={(value) => setTyped((before) => ({ ...before, [tender]: value }))} />
          ))}
          <Field id={fields.reason} label={words.reason} autoComplete="off" maxLength={1000} error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} />
        </>
      )}
    </Booking>
  );
}
