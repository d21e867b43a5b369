import { useId, useState } from 'react';
import type { HandedCorrection, SlipCorrection } from '../api/collections-api';
import type { CashHanded, Collection, RefundSlip } from '../api/shapes';
import { locale } from '../format/locale';
import { formatAmount, formatMoney, isZero, negated, unitsOf, type Money } from '../format/money';
import { readTypedAmount } from '../format/typed-amount';
import { Booking, type Filled } from '../parts/booking';
import { reasonErrors } from '../parts/booking-fields';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { SelectField } from '../parts/select-field';
import { unless } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { cashOutOf, changed, changedByCorrection, effectOf, OwnFigure } from './correcting';

const text = words.entered;

interface CorrectProps {
  readonly collection: Collection;
  readonly onClose: () => void;
}

/** An amount that went out of the box of a machine; null where nobody noted whose. */
interface Gone {
  readonly amount: Money;
  readonly machineTag: string | null;
}

/** What a receipt over less or more means: bags held the rest all the same, so the boxes held the difference; a whole count held it already, and it is missing of the cash of that box. */
function effectOfReceipt(collection: Collection, { before, now }: { readonly before: Gone; readonly now: Gone }): readonly string[] {
  const more = changed(now.amount, before.amount);
  if (collection.bagged) return effectOf({ collection, takings: more });
  const [was, is] = [cashOutOf(collection, before.machineTag).receipts, cashOutOf(collection, now.machineTag).receipts];
  const cash = was === is ? [{ with: is, amount: negated(more) }] : [{ with: was, amount: before.amount }, { with: is, amount: negated(now.amount) }];
  return effectOf({ collection, takings: changed(more, more), cash });
}

/** Of a receipt what is typed as its coins, beside what stood there; of what is taken back nothing was coins. */
function coinsOf(typed: string, { amount, before }: { readonly amount: Money | null; readonly before: Money | null }): { readonly coins: Money | null; readonly isWrong: boolean; readonly isOther: boolean } {
  const isLeftOut = typed.trim() === '' || amount === null || isZero(amount);
  const coins = isLeftOut ? null : readTypedAmount({ text: typed, currency: amount.currency, locale, zero: true });
  return { coins, isWrong: !isLeftOut && coins === null, isOther: (coins?.amount ?? null) !== (before?.amount ?? null) };
}

function coinsBecome(before: Money | null, after: Money | null): string {
  const say = (coins: Money | null): string => (coins === null ? text.handed.coinNotNoted : formatMoney(coins, locale));
  return text.becomes({ what: text.handed.coin, from: say(before), to: say(after) });
}

/** Another amount in the place of cash that was handed over. */
export function CorrectHanded({ collection, handed, onClose }: CorrectProps & { readonly handed: CashHanded }) {
  const { api } = useOperator();
  const id = useId();
  const say = text.handed;
  const { currency } = handed.amount;
  const [amount, setAmount] = useState(() => formatAmount(handed.amount, locale));
  const [receiver, setReceiver] = useState(handed.acknowledgedBy ?? '');
  const [machineTag, setMachineTag] = useState(handed.machineTag ?? '');
  const [coin, setCoin] = useState(() => (handed.coin === null ? '' : formatAmount(handed.coin, locale)));
  const [reason, setReason] = useState('');
  const fields = { amount: `${id}-amount`, acknowledgedBy: `${id}-receiver`, machineTag: `${id}-box`, coin: `${id}-coin`, reason: `${id}-reason` };
  const tags = [...new Set(collection.counts.map((count) => count.machineTag).concat(handed.machineTag ?? []))];
  const read = (): Filled<HandedCorrection> => {
    const now = readTypedAmount({ text: amount, currency, locale, zero: true });
    const name = receiver.trim();
    const isOther = name !== (handed.acknowledgedBy ?? '');
    const isOtherBox = machineTag !== (handed.machineTag ?? '');
    const { coins, isWrong, isOther: isOtherCoin } = coinsOf(coin, { amount: now, before: handed.coin });
    const errors = [
      unless(!isWrong, fields.coin, text.amountWrong(formatAmount({ amount: '12.50', currency }, locale))),
      unless(now !== null, fields.amount, text.amountWrong(formatAmount({ amount: '12.50', currency }, locale))),
      unless(now === null || isOther || isOtherBox || isOtherCoin || unitsOf(now) !== unitsOf(handed.amount), fields.amount, text.unchanged),
      unless(name !== '' || handed.acknowledgedBy === null, fields.acknowledgedBy, text.receiverMissing),
      ...reasonErrors({ fieldId: fields.reason, reason }),
    ].filter((error) => error !== null);
    if (now === null || errors.length > 0) return { errors };
    return {
      body: { cashHandedId: handed.id, amount: now, reason: reason.trim(), ...(isOther ? { acknowledgedBy: name } : {}), ...(isOtherBox ? { machineTag: machineTag === '' ? null : machineTag } : {}), ...(isOtherCoin ? { coin: coins } : {}) },
      books: [
        ...(unitsOf(now) === unitsOf(handed.amount) ? [] : [text.becomes({ what: say.title, from: formatMoney(handed.amount, locale), to: formatMoney(now, locale) })]),
        ...(isOtherBox ? [text.becomes({ what: say.outOf, from: handed.machineTag ?? say.several, to: machineTag === '' ? say.several : machineTag })] : []),
        ...(isOtherCoin ? [coinsBecome(handed.coin, coins)] : []),
        ...(collection.bagged && (isOtherBox || isOtherCoin) ? [say.shares] : []),
        ...(isOther ? [text.becomes({ what: say.receiver, from: handed.acknowledgedBy ?? say.toNobody, to: name })] : []),
        ...effectOfReceipt(collection, { before: handed, now: { amount: now, machineTag: machineTag === '' ? null : machineTag } }), text.stays, words.booking.because(reason.trim()),
      ],
    };
  };
  return (
    <Booking
      title={text.correctOne(text.handOut)} action={text.correctOne(text.handOut)} read={read} fields={fields} refresh={['collections']} alsoRefresh={changedByCorrection} onClose={onClose}
      send={(body, key) => api.correctHanded(collection.id, body, key)}
    >
      {(errors) => (
        <>
          <OwnFigure collection={collection} recordedBy={handed.recordedBy} />
          <Field id={fields.amount} label={words.booking.amount(currency)} hint={text.zeroTakesBack} inputMode="decimal" autoComplete="off" error={errorAt(errors, fields.amount)} value={amount} onValue={setAmount} />
          <SelectField id={fields.machineTag} label={say.outOf} error={errorAt(errors, fields.machineTag)} value={machineTag} none={say.several} options={tags.map((tag) => ({ value: tag, text: tag }))} onValue={setMachineTag} />
          <Field id={fields.coin} label={say.coin} hint={say.coinHint} inputMode="decimal" autoComplete="off" error={errorAt(errors, fields.coin)} value={coin} onValue={setCoin} />
          <Field id={fields.acknowledgedBy} label={say.receiver} autoComplete="off" maxLength={200} error={errorAt(errors, fields.acknowledgedBy)} value={receiver} onValue={setReceiver} />
          <Field id={fields.reason} label={words.reason} autoComplete="off" maxLength={1000} error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} />
        </>
      )}
    </Booking>
  );
}

const payers = ['site', 'operator'] as const;

/** Another amount, or another one who paid it, in the place of a refund slip. */
export function CorrectSlip({ collection, slip, onClose }: CorrectProps & { readonly slip: RefundSlip }) {
  const { api } = useOperator();
  const id = useId();
  const say = text.slips;
  const { currency } = slip.amount;
  const [amount, setAmount] = useState(() => formatAmount(slip.amount, locale));
  const [paidBy, setPaidBy] = useState(slip.paidBy);
  const [coin, setCoin] = useState(() => (slip.coin === null ? '' : formatAmount(slip.coin, locale)));
  const [reason, setReason] = useState('');
  const fields = { amount: `${id}-amount`, paidBy: `${id}-paid-by`, coin: `${id}-coin`, reason: `${id}-reason` };
  const read = (): Filled<SlipCorrection> => {
    const now = readTypedAmount({ text: amount, currency, locale, zero: true });
    const { coins, isWrong, isOther: isOtherCoin } = coinsOf(coin, { amount: now, before: slip.coin });
    const errors = [
      unless(!isWrong, fields.coin, text.amountWrong(formatAmount({ amount: '12.50', currency }, locale))),
      unless(now !== null, fields.amount, text.amountWrong(formatAmount({ amount: '12.50', currency }, locale))),
      unless(now === null || paidBy !== slip.paidBy || isOtherCoin || unitsOf(now) !== unitsOf(slip.amount), fields.amount, text.unchanged),
      ...reasonErrors({ fieldId: fields.reason, reason }),
    ].filter((error) => error !== null);
    if (now === null || errors.length > 0) return { errors };
    const zero = changed(now, now);
    const outOfBoxes = (by: string, paid: Money) => (by === 'operator' ? paid : zero);
    const told = (by: RefundSlip['paidBy'], paid: Money) => `${formatMoney(paid, locale)}, ${say.paidBy[by]}`;
    return {
      body: { refundSlipId: slip.id, amount: now, paidBy, reason: reason.trim(), ...(isOtherCoin ? { coin: coins } : {}) },
      books: [
        text.becomes({ what: text.slipOf(slip.machineTag), from: told(slip.paidBy, slip.amount), to: told(paidBy, now) }),
        ...(isOtherCoin ? [coinsBecome(slip.coin, coins)] : []),
        ...(collection.bagged && isOtherCoin && paidBy === 'operator' ? [text.handed.shares] : []),
        ...effectOfReceipt(collection, { before: { ...slip, amount: outOfBoxes(slip.paidBy, slip.amount) }, now: { ...slip, amount: outOfBoxes(paidBy, now) } }), text.stays, words.booking.because(reason.trim()),
      ],
    };
  };
  return (
    <Booking
      title={text.correctOne(text.slipOf(slip.machineTag))} action={text.correctOne(text.slip)} read={read} fields={fields} refresh={['collections']} alsoRefresh={changedByCorrection} onClose={onClose}
      send={(body, key) => api.correctSlip(collection.id, body, key)}
    >
      {(errors) => (
        <>
          <OwnFigure collection={collection} recordedBy={slip.recordedBy} />
          <Field id={fields.amount} label={words.booking.amount(currency)} hint={text.zeroTakesBack} inputMode="decimal" autoComplete="off" error={errorAt(errors, fields.amount)} value={amount} onValue={setAmount} />
          <SelectField id={fields.paidBy} label={say.paidByLabel} error={errorAt(errors, fields.paidBy)} value={paidBy} options={payers.map((value) => ({ value, text: say.payers[value] }))} onValue={(value) => setPaidBy(payers.find((each) => each === value) ?? paidBy)} />
          {paidBy === 'operator' ? <Field id={fields.coin} label={text.handed.coin} hint={text.handed.coinHint} inputMode="decimal" autoComplete="off" error={errorAt(errors, fields.coin)} value={coin} onValue={setCoin} /> : null}
          <Field id={fields.reason} label={words.reason} autoComplete="off" maxLength={1000} error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} />
        </>
      )}
    </Booking>
  );
}
