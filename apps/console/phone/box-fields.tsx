import { currencyDigits, isCurrencyCode } from '#domain/money/currency';
import { useState } from 'react';
import type { CoinSet } from '../api/shapes';
import { locale } from '../format/locale';
import { formatMoney, moneyOf } from '../format/money';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { SelectField } from '../parts/select-field';
import { words } from '../words/words';
import { isWeighable, mixesOf, toWeighAgain, ways, worthOf, type BoxDraft, type Way } from './box-draft';
import { issueName, pieceLabel } from './issue-name';
import styles from './phone.module.css';

const text = words.phone.visit;

interface BoxFieldsProps {
  /** Begins the ids of the fields. */
  readonly id: string;
  readonly box: BoxDraft;
  readonly currency: string;
  readonly coinSet: CoinSet | null;
  /** Tokens that the terms know. */
  readonly tokens: readonly string[];
  /** Coins and notes are counted here, and what else lay in the box elsewhere. */
  readonly isCashOnly?: boolean;
  /** What an empty box means here, and what nought does. */
  readonly amountHint: string;
  readonly errors: readonly FormError[];
  readonly onBox: (change: Partial<BoxDraft>) => void;
}

/** What lay in one box: in amounts, in pieces, or by weight; and what else was in it. */
export function BoxFields(props: BoxFieldsProps) {
  const { id, box, coinSet, isCashOnly = false, errors, onBox } = props;
  return (
    <>
      {coinSet === null ? null : (
        <SelectField
          id={`${id}-way`} label={text.way} error={errorAt(errors, `${id}-way`)} value={box.way} options={ways.map((way) => ({ value: way, text: text.ways[way] }))}
          onValue={(chosen) => onBox({ way: ways.find((way: Way) => way === chosen) ?? 'amounts' })}
        />
      )}
      {box.way === 'amounts' || coinSet === null ? <Amounts {...props} /> : <Tally {...props} coinSet={coinSet} />}
      {isCashOnly ? null : <Beside {...props} />}
    </>
  );
}

function Amounts({ id, box, amountHint, errors, onBox }: BoxFieldsProps) {
  return (
    <>
      <p className="field-hint">{amountHint}</p>
      <div className={styles.pair}>
        {(['coin', 'note'] as const).map((field) => (
          <Field key={field} id={`${id}-${field}`} label={text[field]} inputMode="decimal" autoComplete="off" error={errorAt(errors, `${id}-${field}`)} value={box[field]} onValue={(value) => onBox({ [field]: value })} />
        ))}
      </div>
    </>
  );
}

function Tally({ id, box, currency, coinSet, errors, onBox }: BoxFieldsProps & { readonly coinSet: CoinSet }) {
  const byWeight = box.way === 'weight';
  const place = { currency, coinSet, locale };
  const worth = worthOf(box, place);
  const again = new Set(toWeighAgain(box, place));
  const weighed = byWeight ? [...coinSet.issues.filter(isWeighable).map((issue) => ({ key: issue.id, label: text.grams(issueName(issue, coinSet)) })), ...mixesOf(coinSet).map((mix) => ({ key: mix.id, label: text.unsorted(mix.issues.map((issue) => issueName(issue, coinSet))) }))] : [];
  return (
    <>
      {byWeight ? <p className="field-hint">{text.weightHint}</p> : null}
      <div className={styles.pieces}>
        {weighed.map(({ key, label }) => (
          <Field key={key} id={`${id}-${key}-grams`} label={label} hint={again.has(`${key}-grams`) ? text.weighAgain : undefined} inputMode="decimal" autoComplete="off" error={errorAt(errors, `${id}-${key}-grams`)} value={box.grams[key] ?? ''} onValue={(value) => onBox({ grams: { ...box.grams, [key]: value } })} />
        ))}
        {coinSet.issues.filter((issue) => !byWeight || !isWeighable(issue)).map((issue) => (
          <Field
            key={issue.id} id={`${id}-${issue.id}`} label={pieceLabel(issue, coinSet)} inputMode="numeric" autoComplete="off" error={errorAt(errors, `${id}-${issue.id}`)}
            value={box.pieces[issue.id] ?? ''} onValue={(value) => onBox({ pieces: { ...box.pieces, [issue.id]: value } })}
          />
        ))}
      </div>
      {worth === null ? null : <p className="field-hint">{text.worth(formatMoney(moneyOf({ units: worth, digits: isCurrencyCode(currency) ? currencyDigits(currency) : 2, currency }), locale))}</p>}
    </>
  );
}

/** Rarely there, so out of the way of the thumb until it is asked for, filled or wrong. */
function Beside({ id, box, tokens, errors, onBox }: BoxFieldsProps) {
  const amounts = [['badCoin', `${id}-bad`], ['houseCoin', `${id}-house`]] as const;
  const tokenField = (token: string) => `${id}-token-${token}`;
  const [isShown, setShown] = useState(() => [box.badCoin, box.houseCoin, ...Object.values(box.tokens)].some((typed) => typed.trim() !== ''));
  const isWrong = [...amounts.map(([, field]) => field), ...tokens.map(tokenField)].some((field) => errorAt(errors, field) !== undefined);
  return (
    <details open={isShown || isWrong} className={styles.beside} onToggle={({ currentTarget }) => setShown(currentTarget.open)}>
      <summary>{tokens.length === 0 ? text.beside : text.besideTokens}</summary>
      <div className={styles.pair}>
        {tokens.map((token) => (
          <Field key={token} id={tokenField(token)} label={text.token(token)} inputMode="numeric" autoComplete="off" error={errorAt(errors, tokenField(token))} value={box.tokens[token] ?? ''} onValue={(value) => onBox({ tokens: { ...box.tokens, [token]: value } })} />
        ))}
        {amounts.map(([name, field]) => (
          <Field key={name} id={field} label={text[name]} inputMode="decimal" autoComplete="off" error={errorAt(errors, field)} value={box[name]} onValue={(value) => onBox({ [name]: value })} />
        ))}
      </div>
    </details>
  );
}
