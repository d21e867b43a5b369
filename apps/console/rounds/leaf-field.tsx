import { useState } from 'react';
import type { CurrencyCode } from '#domain/money/currency';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { formatAmount, formatMoney } from '../format/money';
import { readTypedAmount } from '../format/typed-amount';
import { toInstantIn, toLocalIn } from '../keys/moment';
import { Field } from '../parts/field';
import { SelectField } from '../parts/select-field';
import { whys } from '../parts/why-not-read';
import { words } from '../words/words';
import { currencyOf, type Leaf, type Sent } from './leaves';

const text = words.rounds.kept;

/** What a value is called; `nameOf` is what a denomination is, from `useIssueNames`. */
export function labelOf({ name, of }: Leaf, nameOf: (issueId: string) => string): string {
  if (name === 'tokens') return text.fields.tokens(of.join(', '));
  if (name === 'pieces') return text.fields.pieces(of.map(nameOf).join(', '));
  if (name === 'grams') return of.length > 1 ? words.phone.visit.unsorted(of.map(nameOf)) : words.phone.visit.grams(of.map(nameOf).join(', '));
  return text.fields[name];
}

/** A value as it is read in the language of the page; what no phone of ours sends, as it came. */
export function sayLeaf(sent: Sent, leaf: Leaf): string {
  const currency = currencyOf(sent, leaf);
  if (currency !== null) return formatMoney({ amount: leaf.value, currency }, locale);
  if (leaf.name === 'refundedOn') return isDay(leaf.value) ? formatDay(leaf.value, locale) : leaf.value;
  const payer = leaf.name === 'paidBy' ? payers.find((each) => each === leaf.value) : undefined;
  if (payer !== undefined) return words.phone.visit.paidByWhom[payer];
  const why = leaf.name === 'why' ? whys.find((each) => each === leaf.value) : undefined;
  return why === undefined ? leaf.value : words.notRead.why[why];
}

const payers = ['site', 'operator'] as const;
const isDay = (value: string): boolean => /^\d{4}-\d\d-\d\d$/.test(value) && !Number.isNaN(Date.parse(value));

interface LeafFieldProps {
  readonly id: string;
  readonly sent: Sent;
  readonly leaf: Leaf;
  readonly nameOf: (issueId: string) => string;
  readonly error: string | undefined;
  readonly onValue: (value: string) => void;
}

/** A field for a value, written as the reader of the page writes it. */
export function LeafField({ sent, leaf, nameOf, ...field }: LeafFieldProps) {
  const label = labelOf(leaf, nameOf);
  // As it came: a half-typed value must not make it another field.
  const [first] = useState({ currency: currencyOf(sent, leaf), isDay: leaf.name === 'refundedOn' && isDay(leaf.value) });
  if (first.currency !== null) return <AmountField {...field} label={label} leaf={leaf} currency={first.currency} />;
  if (leaf.name === 'why') return <SelectField {...field} label={label} none={words.notRead.choose} value={leaf.value} options={whys.map((value) => ({ value, text: words.notRead.why[value] }))} />;
  if (leaf.name === 'paidBy') return <SelectField {...field} label={label} none={words.notRead.choose} value={leaf.value} options={payers.map((value) => ({ value, text: words.phone.visit.paidByWhom[value] }))} />;
  return <Field {...field} label={label} autoComplete="off" {...(first.isDay ? { type: 'date' as const } : {})} value={leaf.value} />;
}

function AmountField({ leaf, currency, onValue, ...field }: Omit<LeafFieldProps, 'sent' | 'nameOf'> & { readonly label: string; readonly currency: CurrencyCode }) {
  const [typed, setTyped] = useState(() => formatAmount({ amount: leaf.value, currency }, locale));
  return (
    <Field
      {...field} inputMode="decimal" autoComplete="off" value={typed}
      onValue={(value) => {
        setTyped(value);
        // What is no amount goes as it was typed, for the api to refuse by this field.
        onValue(readTypedAmount({ text: value, currency, locale, zero: true })?.amount ?? value);
      }}
    />
  );
}

interface MomentFieldProps {
  readonly id: string;
  /** Of the site; the reader's own clock where no site is known. */
  readonly timeZone: string | undefined;
  readonly value: string;
  readonly error: string | undefined;
  readonly onValue: (value: string) => void;
}

/** When the visit was, by the clock at the site; what is no moment, as it came. */
export function MomentField({ value, timeZone, onValue, ...field }: MomentFieldProps) {
  const [isMoment] = useState(!Number.isNaN(Date.parse(value)));
  const [typed, setTyped] = useState(() => (isMoment ? toLocalIn(value, timeZone) : value));
  return (
    <Field
      {...field} label={text.fields.happenedAt} hint={isMoment && timeZone !== undefined ? text.atSite : undefined} autoComplete="off" {...(isMoment ? { type: 'datetime-local' as const } : {})} value={typed}
      onValue={(now) => {
        setTyped(now);
        onValue(isMoment ? (toInstantIn(now, timeZone) ?? now) : now);
      }}
    />
  );
}
