import { addDays, isLocalDate, toDayNumber } from '#domain/calendar/local-date';
import { useInfiniteQuery, useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { CashMoveBody, StocktakeBody } from '../api/cash-api';
import { changedByCorrection } from '../collections/correcting';
import { collectionsQuery } from '../collections/queries';
import { formatDay, formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { formatAmount, formatMoney } from '../format/money';
import { readTypedAmount } from '../format/typed-amount';
import { peopleQuery } from '../keys/queries';
import { Booking, type Filled } from '../parts/booking';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { SelectField } from '../parts/select-field';
import { unless } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { changeFundsQuery, ownOperatorQuery } from './queries';

const kinds = ['float-given', 'float-returned', 'fund-filled', 'fund-emptied', 'handed-in', 'paid-in'] as const;
const text = words.cash.record;

interface RecordProps {
  readonly day: string;
  readonly onClose: () => void;
}

/** Who and what can be named: the operator's own people, its change funds, and its currency, which an amount is typed in. */
function usePlaces() {
  const { api } = useOperator();
  const office = useQuery(ownOperatorQuery(api));
  const own = office.data?.currency ?? '';
  const everybody = useQuery(peopleQuery(api));
  const everyFund = useQuery(changeFundsQuery(api));
  const people = (everybody.data ?? []).filter(({ employedBy }) => employedBy === 'operator');
  const funds = everyFund.data?.items ?? [];
  return {
    needs: [office, everybody, everyFund],
    isLoading: office.isLoading || everybody.isLoading || everyFund.isLoading,
    people: people.map((person) => ({ value: person.id, text: person.name })),
    funds: funds.map((fund) => ({ value: fund.id, text: fund.code, currency: fund.balance.currency })),
    siteOf: (fundId: string) => funds.find(({ id }) => id === fundId)?.siteId,
    currencyOf: (fundId: string) => funds.find(({ id }) => id === fundId)?.balance.currency ?? own,
    nameOf: (id: string) => people.find((person) => person.id === id)?.name ?? '',
    codeOf: (id: string) => funds.find((fund) => fund.id === id)?.code ?? '',
  };
}

/** Stands before the id of a collection among those out of whose cash a fund was filled. */
const boxesOf = 'boxes:';

/** How far around the day of a page boxes are looked for, by the day that they are booked to. */
const DAYS_AROUND = 62;

/** Collections at the site of a fund about a day: what fills it often comes straight out of the boxes there, whatever day they are booked to; the nearest first. */
function useBoxes({ siteId, day }: { readonly siteId: string | undefined; readonly day: string }) {
  const { api } = useOperator();
  const isAsked = siteId !== undefined && isLocalDate(day);
  const filter = isAsked ? { siteId, from: addDays(day, -DAYS_AROUND), before: addDays(day, DAYS_AROUND) } : {};
  const found = useInfiniteQuery({ ...collectionsQuery(api, filter), enabled: isAsked }).data?.pages.flatMap(({ items }) => items) ?? [];
  const apart = (localDate: string): number => (isLocalDate(localDate) && isLocalDate(day) ? Math.abs(toDayNumber(localDate) - toDayNumber(day)) : 0);
  return found.filter(({ state }) => state !== 'discarded').toSorted((one, other) => apart(one.localDate) - apart(other.localDate));
}

/** Cash that went from one of the operator's places to another. */
export function RecordMove({ day, onClose }: RecordProps) {
  const { api } = useOperator();
  const id = useId();
  const places = usePlaces();
  const [kind, setKind] = useState<(typeof kinds)[number]>('paid-in');
  const [amount, setAmount] = useState('');
  const [movedOn, setMovedOn] = useState(day);
  const [countedOn, setCountedOn] = useState(day);
  const [collectorId, setCollectorId] = useState('');
  const [fundId, setFundId] = useState('');
  const [coin, setCoin] = useState('');
  const [reference, setReference] = useState('');
  const [reason, setReason] = useState('');
  const fields = { kind: `${id}-kind`, amount: `${id}-amount`, coin: `${id}-coin`, movedOn: `${id}-on`, countedOn: `${id}-counted`, collectorId: `${id}-collector`, collectionId: `${id}-collector`, fundId: `${id}-fund`, reference: `${id}-reference`, reason: `${id}-reason` };
  const [isHandIn, isFund] = [kind === 'handed-in', kind.startsWith('fund')];
  /** Only a collector can be named, and one must be. */
  const isCollectors = isHandIn || kind.startsWith('float');
  const boxes = useBoxes({ siteId: kind === 'fund-filled' ? places.siteOf(fundId) : undefined, day });
  // What came out of boxes did so on the day on which they were emptied.
  const filledOutOf = boxes.find((each) => `${boxesOf}${each.id}` === collectorId && each.localDate === movedOn);
  const chooseFrom = (value: string) => {
    setCollectorId(value);
    const day = boxes.find((each) => `${boxesOf}${each.id}` === value)?.localDate;
    if (day !== undefined) setMovedOn(day);
  };
  const currency = places.currencyOf(isFund ? fundId : '');
  // Boxes of another site or day are not among the choices any more.
  const from = collectorId.startsWith(boxesOf) && filledOutOf === undefined ? '' : collectorId;
  const asksReason = filledOutOf?.state === 'accepted';
  const read = (): Filled<CashMoveBody> => {
    const typed = readTypedAmount({ text: amount, currency, locale });
    const coins = filledOutOf === undefined || coin.trim() === '' ? undefined : readTypedAmount({ text: coin, currency, locale, zero: true });
    const errors = [
      unless(coins !== null, fields.coin, words.booking.amountMissing(formatAmount({ amount: '12.50', currency }, locale))),
      unless(typed !== null, fields.amount, words.booking.amountMissing(formatAmount({ amount: '12.50', currency }, locale))),
      unless(movedOn !== '', fields.movedOn, words.booking.dayMissing),
      unless(!asksReason || reason.trim().length >= 3, fields.reason, words.reasonMissing),
      unless(!isCollectors || from !== '', fields.collectorId, text.collectorMissing),
      unless(!isFund || fundId !== '', fields.fundId, text.fundMissing),
    ].filter((error) => error !== null);
    if (typed === null || coins === null || errors.length > 0) return { errors };
    const body = {
      kind, movedOn, amount: typed, reference,
      ...((kind === 'paid-in' || isHandIn) && countedOn !== '' ? { countedOn } : {}),
      ...(filledOutOf !== undefined ? { collectionId: filledOutOf.id, ...(coins === undefined ? {} : { coin: { ...coins } }), ...(asksReason ? { reason: reason.trim() } : {}) } : (isCollectors || isFund) && from !== '' ? { collectorId: from } : {}),
      ...(isFund ? { fundId } : {}),
    };
    const own = filledOutOf !== undefined ? text.place.boxes(filledOutOf.siteName) : from === '' ? text.place.room : text.place.collector(places.nameOf(from));
    const [outOf, into] = {
      'float-given': [text.place.room, own] as const,
      'float-returned': [own, text.place.room] as const,
      'handed-in': [own, text.place.room] as const,
      'fund-filled': [own, text.place.fund(places.codeOf(fundId))] as const,
      'fund-emptied': [text.place.fund(places.codeOf(fundId)), own] as const,
      'paid-in': [text.place.room, text.place.bank] as const,
    }[kind];
    return { body, books: [text.books({ what: words.cash.moves.kind[kind], amount: formatMoney(typed, locale), from: outOf, to: into, day: formatDay(movedOn, locale) }), ...(coins === undefined ? [] : [words.entered.handed.coins(formatMoney(coins, locale))]), ...(asksReason ? [text.booksTakings, words.booking.because(reason.trim())] : [])] };
  };
  return (
    <Booking title={text.title} action={text.action} read={read} send={api.recordCashMove} refresh={['cash']} alsoRefresh={filledOutOf === undefined ? [] : [['collections'], ...changedByCorrection]} fields={fields} needs={places.needs} onClose={onClose}>
      {(errors) => (
        <>
          <SelectField id={fields.kind} label={text.kind} value={kind} options={kinds.map((value) => ({ value, text: words.cash.moves.kind[value] }))} onValue={(value) => setKind(kinds.find((each) => each === value) ?? kind)} />
          {isFund ? <SelectField id={fields.fundId} label={text.fund} error={errorAt(errors, fields.fundId)} value={fundId} none={text.choose} isLoading={places.isLoading} options={places.funds} onValue={setFundId} /> : null}
          {isCollectors || isFund ? (
            <SelectField
              id={fields.collectorId} label={isCollectors ? text.collector : text.with[kind === 'fund-filled' ? 'filled' : 'emptied']} error={errorAt(errors, fields.collectorId)} value={from} none={isCollectors ? text.choose : text.room} isLoading={places.isLoading}
              options={[...boxes.map((each) => ({ value: `${boxesOf}${each.id}`, text: text.boxes(formatInstant(each.happenedAt, locale)) })), ...(isCollectors ? places.people : places.people.map((person) => ({ ...person, text: text.floatOf(person.text) })))]} onValue={chooseFrom}
            />
          ) : null}
          {asksReason ? <Field id={fields.reason} label={words.reason} hint={text.reasonHint} autoComplete="off" maxLength={1000} error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} /> : null}
          <Field id={fields.amount} inputMode="decimal" autoComplete="off" label={words.booking.amount(currency)} hint={isHandIn ? text.handedInHint : undefined} error={errorAt(errors, fields.amount)} value={amount} onValue={setAmount} />
          {filledOutOf === undefined ? null : <Field id={fields.coin} inputMode="decimal" autoComplete="off" label={words.entered.handed.coin} hint={words.entered.handed.coinHint} error={errorAt(errors, fields.coin)} value={coin} onValue={setCoin} />}
          <Field id={fields.movedOn} type="date" label={text.movedOn} error={errorAt(errors, fields.movedOn)} value={movedOn} onValue={setMovedOn} />
          {kind === 'paid-in' || isHandIn ? <Field id={fields.countedOn} type="date" label={isHandIn ? text.collectedOn : text.countedOn} error={errorAt(errors, fields.countedOn)} value={countedOn} onValue={setCountedOn} /> : null}
          <Field id={fields.reference} label={text.reference} maxLength={140} error={errorAt(errors, fields.reference)} value={reference} onValue={setReference} />
        </>
      )}
    </Booking>
  );
}

const places = ['counting-room', 'collector', 'fund'] as const;

/** What was found in one of the operator's places of cash; the books follow. */
export function RecordStocktake({ day, onClose }: RecordProps) {
  const { api } = useOperator();
  const id = useId();
  const known = usePlaces();
  const say = words.cash.stocktake;
  const [place, setPlace] = useState<(typeof places)[number]>('counting-room');
  const [amount, setAmount] = useState('');
  const [countedOn, setCountedOn] = useState(day);
  const [collectorId, setCollectorId] = useState('');
  const [fundId, setFundId] = useState('');
  const [reason, setReason] = useState('');
  const fields = { place: `${id}-place`, counted: `${id}-amount`, countedOn: `${id}-on`, collectorId: `${id}-collector`, fundId: `${id}-fund`, reason: `${id}-reason` };
  const currency = known.currencyOf(place === 'fund' ? fundId : '');
  const read = (): Filled<StocktakeBody> => {
    const typed = readTypedAmount({ text: amount, currency, locale, zero: true });
    const errors = [
      unless(typed !== null, fields.counted, words.booking.amountMissing(formatAmount({ amount: '12.50', currency }, locale))),
      unless(countedOn !== '', fields.countedOn, words.booking.dayMissing),
      unless(place !== 'collector' || collectorId !== '', fields.collectorId, text.collectorMissing),
      unless(place !== 'fund' || fundId !== '', fields.fundId, text.fundMissing),
      unless(reason.trim().length >= 3, fields.reason, words.reasonMissing),
    ].filter((error) => error !== null);
    if (typed === null || errors.length > 0) return { errors };
    const named = { 'counting-room': '', collector: known.nameOf(collectorId), fund: known.codeOf(fundId) }[place];
    return {
      body: { place, countedOn, counted: typed, reason: reason.trim(), ...(place === 'collector' ? { collectorId } : {}), ...(place === 'fund' ? { fundId } : {}) },
      books: [say.books({ place: [say.places[place], named].filter((each) => each !== '').join(' '), amount: formatMoney(typed, locale), day: formatDay(countedOn, locale) })],
    };
  };
  return (
    <Booking title={say.title} action={say.action} read={read} send={api.recordStocktake} refresh={['cash']} fields={fields} needs={known.needs} onClose={onClose}>
      {(errors) => (
        <>
          <SelectField id={fields.place} label={say.place} value={place} options={places.map((value) => ({ value, text: say.places[value] }))} onValue={(value) => setPlace(places.find((each) => each === value) ?? place)} />
          {place === 'collector' ? <SelectField id={fields.collectorId} label={text.collector} error={errorAt(errors, fields.collectorId)} value={collectorId} none={text.choose} isLoading={known.isLoading} options={known.people} onValue={setCollectorId} /> : null}
          {place === 'fund' ? <SelectField id={fields.fundId} label={text.fund} error={errorAt(errors, fields.fundId)} value={fundId} none={text.choose} isLoading={known.isLoading} options={known.funds} onValue={setFundId} /> : null}
          <Field id={fields.counted} inputMode="decimal" autoComplete="off" label={words.booking.amount(currency)} error={errorAt(errors, fields.counted)} value={amount} onValue={setAmount} />
          <Field id={fields.countedOn} type="date" label={say.countedOn} error={errorAt(errors, fields.countedOn)} value={countedOn} onValue={setCountedOn} />
          <Field id={fields.reason} label={say.reason} autoComplete="off" maxLength={1000} error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} />
        </>
      )}
    </Booking>
  );
}
