import { useId, useState } from 'react';
import type { BoxCount, Collection } from '../api/shapes';
import type { CountCorrection } from '../api/collections-api';
import { formatCount } from '../format/count';
import { locale } from '../format/locale';
import { formatAmount, formatMoney, sum, unitsOf, type Money } from '../format/money';
import { readTypedAmount } from '../format/typed-amount';
import { Booking, type Filled } from '../parts/booking';
import { reasonErrors } from '../parts/booking-fields';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { changed, changedByCorrection, effectOf, OwnFigure } from './correcting';

const text = words.entered;

const amounts = ['coin', 'note', 'houseCoin', 'badCoin', 'meteredAmount'] as const;
type AmountName = (typeof amounts)[number];
const labels = { coin: text.counts.coin, note: text.counts.note, houseCoin: words.phone.visit.houseCoin, badCoin: words.phone.visit.badCoin };

interface CorrectCountProps {
  readonly collection: Collection;
  readonly count: BoxCount;
  readonly onClose: () => void;
}

/** Other figures in the place of a count. */
export function CorrectCount({ collection, count, onClose }: CorrectCountProps) {
  const { api } = useOperator();
  const id = useId();
  const { currency } = count.coin;
  const isAccepted = collection.state === 'accepted';
  // What the meters imply is asked where nobody said it, as the books ask it. Of recorded meters that cannot tell it, it is asked apart from the counts.
  const isUnsaid = isAccepted && collection.meteredAsked.some(({ machineTag, why }) => machineTag === count.machineTag && why.includes('not-recorded'));
  const saidApart = isAccepted ? ((collection.meteredAmounts ?? []).find(({ machineId }) => machineId === count.machineId)?.amount ?? null) : null;
  const before = { ...count, meteredAmount: count.meteredAmount ?? saidApart };
  const asked = amounts.filter((name) => before[name] !== null || (name === 'meteredAmount' && isUnsaid));
  const [typed, setTyped] = useState<Readonly<Partial<Record<AmountName, string>>>>(() => Object.fromEntries(asked.flatMap((name) => (before[name] === null ? [] : [[name, formatAmount(before[name], locale)] as const]))));
  const [pieces, setPieces] = useState<Readonly<Record<string, string>>>(() => Object.fromEntries(count.tokens.map((token) => [token.tokenId, String(token.pieces)])));
  const [reason, setReason] = useState('');
  const fieldOf = (name: string) => `${id}-${name}`;
  const [firstToken] = count.tokens;
  const fields = Object.fromEntries([...amounts, 'reason'].map((name) => [name, fieldOf(name)]));
  const tokenField = firstToken === undefined ? {} : { tokens: fieldOf(`token-${firstToken.tokenId}`) };
  const labelOf = (name: AmountName) => (name === 'meteredAmount' ? words.phone.visit.metered(currency) : labels[name]);

  const read = (): Filled<CountCorrection> => {
    const found = asked.map((name) => ({ name, money: readTypedAmount({ text: typed[name] ?? '', currency, locale, zero: true }) }));
    const tokens = count.tokens.map(({ tokenId }) => ({ tokenId, text: (pieces[tokenId] ?? '').trim() }));
    const example = formatAmount({ amount: '12.50', currency }, locale);
    const wrong = [
      ...found.filter(({ money }) => money === null).map(({ name }) => ({ fieldId: fieldOf(name), message: `${labelOf(name)}: ${text.amountWrong(example)}` })),
      ...tokens.filter((token) => !/^\d{1,6}$/.test(token.text)).map(({ tokenId }) => ({ fieldId: fieldOf(`token-${tokenId}`), message: text.piecesWrong })),
    ];
    const now = (name: AmountName): Money => found.find((each) => each.name === name)?.money ?? before[name] ?? count.coin;
    const isUnchanged = (name: AmountName): boolean => before[name] !== null && unitsOf(now(name)) === unitsOf(before[name]);
    const piecesOf = new Map(tokens.map(({ tokenId, text: amount }) => [tokenId, Number(amount)]));
    const becomes = [
      ...asked.flatMap((name) => (isUnchanged(name) ? [] : [text.becomes({ what: labelOf(name), from: before[name] === null ? '–' : formatMoney(before[name], locale), to: formatMoney(now(name), locale) })])),
      ...count.tokens.flatMap(({ tokenId, pieces: were }) => (piecesOf.get(tokenId) === were ? [] : [text.becomes({ what: words.phone.visit.token(tokenId), from: formatCount(were, locale), to: formatCount(piecesOf.get(tokenId) ?? 0, locale) })])),
    ];
    const errors = [...wrong, ...(wrong.length === 0 && becomes.length === 0 ? [{ fieldId: fieldOf('coin'), message: text.unchanged }] : []), ...reasonErrors({ fieldId: fieldOf('reason'), reason })];
    if (errors.length > 0) return { errors };
    const takings = sum([changed(now('coin'), count.coin), changed(now('note'), count.note)]) ?? count.coin;
    return {
      body: {
        countId: count.id, coin: now('coin'), note: now('note'), houseCoin: now('houseCoin'), badCoin: now('badCoin'), reason: reason.trim(),
        // Left out it stays as it is; said again it would be somebody's word on the meters.
        ...(!asked.includes('meteredAmount') || isUnchanged('meteredAmount') ? {} : { meteredAmount: now('meteredAmount') }),
        tokens: [...piecesOf].filter(([, amount]) => amount > 0).map(([tokenId, amount]) => ({ tokenId, pieces: amount })),
      },
      books: [...becomes, ...effectOf({ collection, takings, cash: [{ with: count.cashWith, amount: takings }] }), text.stays, words.booking.because(reason.trim())],
    };
  };

  return (
    <Booking
      title={text.correctOne(text.countOf(count.machineTag))} action={text.correctOne(text.count)} read={read} fields={{ ...fields, ...tokenField }} refresh={['collections']} alsoRefresh={changedByCorrection} onClose={onClose}
      send={(body, key) => api.correctCount(collection.id, body, key)}
    >
      {(errors) => (
        <>
          <OwnFigure collection={collection} recordedBy={count.recordedBy} />
          {asked.map((name) => (
            <Field
              key={name} id={fieldOf(name)} label={labelOf(name)} inputMode="decimal" autoComplete="off" error={errorAt(errors, fieldOf(name))}
              value={typed[name] ?? ''} onValue={(value) => setTyped((all) => ({ ...all, [name]: value }))}
            />
          ))}
          {count.tokens.map(({ tokenId }) => (
            <Field
              key={tokenId} id={fieldOf(`token-${tokenId}`)} label={words.phone.visit.token(tokenId)} inputMode="numeric" autoComplete="off" error={errorAt(errors, fieldOf(`token-${tokenId}`))}
              value={pieces[tokenId] ?? ''} onValue={(value) => setPieces((all) => ({ ...all, [tokenId]: value }))}
            />
          ))}
          <Field id={fieldOf('reason')} label={words.reason} autoComplete="off" maxLength={1000} error={errorAt(errors, fieldOf('reason'))} value={reason} onValue={setReason} />
        </>
      )}
    </Booking>
  );
}
