import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { Link } from 'react-router';
import type { CashMoveBody } from '../api/cash-api';
import type { ChangeFund, Collection } from '../api/shapes';
import { cashTrailQuery, changeFundsQuery } from '../cash/queries';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { formatAmount, formatMoney } from '../format/money';
import { readTypedAmount } from '../format/typed-amount';
import { Amount } from '../parts/amount';
import { Booking, type Filled } from '../parts/booking';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { SelectField } from '../parts/select-field';
import { TitledTable } from '../parts/titled-table';
import { unless } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { cashOutOf, changedByCorrection } from './correcting';

const text = words.entered.filled;

const outOfBox = (machineTag: string): string => `${words.entered.handed.outOf} ${machineTag}`;

/** Change funds of the site that were filled out of these boxes, and the way to record one; nothing where the site has no fund. */
export function FilledOutOf({ collection }: { readonly collection: Collection }) {
  const { api, may, to } = useOperator();
  const [isAsked, setAsked] = useState(false);
  const allowed = may('cash-trail.read');
  const trail = useQuery({ ...cashTrailQuery(api, collection.localDate), enabled: allowed });
  const everyFund = useQuery({ ...changeFundsQuery(api), enabled: allowed });
  const funds = (everyFund.data?.items ?? []).filter(({ siteId }) => siteId === collection.siteId);
  const moves = (trail.data?.moves ?? []).filter(({ collectionId }) => collectionId === collection.id);
  // Before anything is counted or bagged there is nothing yet that a fund was filled out of.
  const isReady = collection.state === 'counted' || collection.state === 'accepted' || (collection.state === 'open' && collection.bagged);
  if (!allowed || (funds.length === 0 && moves.length === 0)) return null;
  return (
    <>
      <TitledTable
        id="filled" title={text.title} none={text.none} columns={[text.fund, text.amount]}
        rows={moves.map((move) => (
          <tr key={move.id}>
            <th scope="row">
              {move.fundCode}
              {move.machineTag === null ? null : <div className="soft small">{outOfBox(move.machineTag)}</div>}
              {move.coin === null ? null : <div className="soft small">{words.entered.handed.coins(formatMoney(move.coin, locale))}</div>}
              {move.takenBack === null ? null : <div className="soft small">{text.takenBack(move.takenBack)}</div>}
            </th>
            <td>
              <Amount money={move.amount} alone />
            </td>
          </tr>
        ))}
      />
      <div className="row">
        {isReady && !trail.isLoading && funds.length > 0 && may('cash-move.record') ? (
          <button type="button" className="button" onClick={() => setAsked(true)}>
            {text.add}
          </button>
        ) : null}
        {moves.length === 0 ? null : <Link to={to(`collections/cash?day=${collection.localDate}`)}>{text.toCashOfDay}</Link>}
      </div>
      {isAsked ? <FillFund collection={collection} funds={funds} onClose={() => setAsked(false)} /> : null}
    </>
  );
}

interface FillFundProps {
  readonly collection: Collection;
  readonly funds: readonly ChangeFund[];
  readonly onClose: () => void;
}

function FillFund({ collection, funds, onClose }: FillFundProps) {
  const { api } = useOperator();
  const id = useId();
  const { currency } = collection.counted;
  const [fundId, setFundId] = useState(funds.length === 1 ? (funds[0]?.id ?? '') : '');
  // Until another box is named, a fund is filled out of that of its machine.
  const [namedBox, setNamedBox] = useState<string | null>(null);
  const chosen = funds.find((each) => each.id === fundId);
  const machineTag = namedBox ?? chosen?.machineTag ?? '';
  const [amount, setAmount] = useState('');
  const [coin, setCoin] = useState('');
  const [reference, setReference] = useState('');
  const [reason, setReason] = useState('');
  const fields = { fundId: `${id}-fund`, machineTag: `${id}-box`, amount: `${id}-amount`, coin: `${id}-coin`, reference: `${id}-reference`, reason: `${id}-reason` };
  const standing = collection.cashOutOf.flatMap((box) => box.machineTag ?? []);
  const boxes = chosen?.machineTag === null || chosen === undefined || standing.includes(chosen.machineTag) ? standing : [...standing, chosen.machineTag];
  const correctsTakings = collection.bagged && collection.state === 'accepted';
  const read = (): Filled<CashMoveBody> => {
    const typed = readTypedAmount({ text: amount, currency, locale });
    const coins = coin.trim() === '' ? undefined : readTypedAmount({ text: coin, currency, locale, zero: true });
    const errors = [
      unless(fundId !== '', fields.fundId, words.cash.record.fundMissing),
      unless(typed !== null, fields.amount, words.booking.amountMissing(formatAmount({ amount: '12.50', currency }, locale))),
      unless(coins !== null, fields.coin, words.booking.amountMissing(formatAmount({ amount: '12.50', currency }, locale))),
      unless(!correctsTakings || reason.trim().length >= 3, fields.reason, words.reasonMissing),
    ].filter((error) => error !== null);
    if (typed === null || coins === null || errors.length > 0) return { errors };
    const told = formatMoney(typed, locale);
    const fund = chosen?.code ?? '';
    return {
      body: { kind: 'fund-filled', collectionId: collection.id, fundId, machineTag: machineTag === '' ? null : machineTag, movedOn: collection.localDate, amount: typed, reference, ...(coins === undefined ? {} : { coin: { ...coins } }), ...(correctsTakings ? { reason: reason.trim() } : {}) },
      books: [
        text.books({ amount: told, fund, day: formatDay(collection.localDate, locale) }),
        ...(machineTag === '' ? [] : [outOfBox(machineTag)]),
        ...(coins === undefined ? [] : [words.entered.handed.coins(formatMoney(coins, locale))]),
        collection.bagged ? (correctsTakings ? text.adds(told) : text.addsLater) : text.within[cashOutOf(collection, machineTag === '' ? null : machineTag).fillings],
        ...(correctsTakings ? [words.booking.because(reason.trim())] : []),
      ],
    };
  };
  return (
    <Booking title={text.add} action={text.action} read={read} send={api.recordCashMove} refresh={['collections']} alsoRefresh={changedByCorrection} fields={fields} onClose={onClose}>
      {(errors) => (
        <>
          <p className="soft">{text.lead}</p>
          <SelectField id={fields.fundId} label={text.fund} error={errorAt(errors, fields.fundId)} value={fundId} none={words.cash.record.choose} options={funds.map((fund) => ({ value: fund.id, text: fund.code }))} onValue={setFundId} />
          <SelectField id={fields.machineTag} label={words.entered.handed.outOf} error={errorAt(errors, fields.machineTag)} value={machineTag} none={words.entered.handed.several} options={boxes.map((tag) => ({ value: tag, text: tag }))} onValue={setNamedBox} />
          <Field id={fields.amount} inputMode="decimal" autoComplete="off" label={words.booking.amount(currency)} error={errorAt(errors, fields.amount)} value={amount} onValue={setAmount} />
          <Field id={fields.coin} inputMode="decimal" autoComplete="off" label={words.entered.handed.coin} hint={words.entered.handed.coinHint} error={errorAt(errors, fields.coin)} value={coin} onValue={setCoin} />
          <Field id={fields.reference} label={words.cash.record.reference} maxLength={140} error={errorAt(errors, fields.reference)} value={reference} onValue={setReference} />
          {correctsTakings ? <Field id={fields.reason} label={words.reason} hint={text.reasonHint} autoComplete="off" maxLength={1000} error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} /> : null}
        </>
      )}
    </Booking>
  );
}
