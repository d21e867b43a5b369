import type { CashMove, RecordCashMove, RecordStocktake, Stocktake, TakeBackCashMove } from '#contracts/cash-trail';
import { formatInstant } from '#contracts/format';
import { moneyOf, toAmount, type Money } from '#contracts/money';
import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { cashCounted, moneyMoved, reversed, type MoneyPlace } from '#domain/journal/entries';
import type { CurrencyCode } from '#domain/money/currency';
import type { Caller } from '../caller';
import { selectFillingCashWith } from '../collection/cash-place.sql';
import { boxOfHanded, machinesOf } from '../collection/check-entries';
import { selectCollection } from '../collection/collection.sql';
import { shareMachinePlacements } from '../collection/directory.sql';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { refusedWhenClosed } from '../journal/period';
import { accountCodeOf, postEntries, readPostedEntry } from '../journal/post';
import { perform, type Unit } from '../perform';
import { isDoneAlone } from '../policy/policy';
import { labelRelaxed } from '../policy/policy.sql';
import { fieldFailure, otherCurrency, taken } from '../refusal';
import { readOperator } from '../settlement/number.sql';
import { bookFilling, holdForFilling, holdForTakingBack } from './filled-out-of';
import { firstStocktakeOf, insertMove, insertStocktake, insertTakenBack, latestStocktakeDay, lockPlace, selectAccountsOf, selectBalance, selectFundPlace, selectMove, selectCountsWaiting, selectNamedPlaces, selectVisitsWaiting, type MoveRow } from './move.sql';

const placeWords = { 'cash-in-counting-room': 'The counting room', 'cash-with-collector': 'The collector’s cash', 'cash-in-float': 'The change fund' };
const room: MoneyPlace = { code: 'cash-in-counting-room', holderId: null };
const collectorOr = (collectorId: string | null | undefined): MoneyPlace => (collectorId === null || collectorId === undefined ? room : { code: 'cash-with-collector', holderId: collectorId });

type Places = { readonly from: MoneyPlace; readonly to: MoneyPlace };

/** From where to where cash goes. What fills a fund out of boxes comes from where the books have their cash: the counting room, or `cashWith` who collected. */
function placesOf(move: Pick<RecordCashMove, 'kind' | 'collectorId' | 'fundId'>, cashWith: string | null): Places {
  const collector = collectorOr(move.collectorId);
  const fund: MoneyPlace = { code: 'cash-in-float', holderId: move.fundId ?? '' };
  switch (move.kind) {
    case 'float-given':
      return { from: room, to: collector };
    case 'float-returned':
    case 'handed-in':
      return { from: collector, to: room };
    case 'fund-filled':
      return { from: collectorOr(move.collectorId ?? cashWith), to: fund };
    case 'fund-emptied':
      return { from: fund, to: collector };
    case 'paid-in':
      return { from: room, to: { code: 'bank', holderId: null } };
  }
}

/** Records cash that went from one of the operator's places to another, and posts it. */
export async function recordCashMove(deps: Backoffice, caller: Caller, command: RecordCashMove): Promise<Outcome<CashMove>> {
  return perform<CashMove>(
    deps,
    caller,
    'cash-move.record',
    async (unit) => {
      const { tx, now } = unit;
      const { amount, coin, reason, machineTag, ...move } = command;
      const { collectionId, fundId } = move;
      const wrong = [...(await wrongPlaces(tx, { collectorId: move.collectorId, fundId, collectionId, currency: amount.currency })), ...(await wrongDays(tx, { movedOn: command.movedOn, countedOn: command.countedOn }, now)), ...wrongCoins(amount, coin)];
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const id = command.id ?? deps.newId();
      const amountMinor = toAmount(amount).minor;
      const alone = command.kind === 'handed-in' ? await isReceivedAlone(tx, { collectorId: command.collectorId ?? '', now }) : done(false);
      if (!alone.ok) return alone;
      const box = collectionId === undefined || fundId === undefined ? done(null) : await boxOfFilling(tx, { collectionId, fundId, machineTag });
      if (!box.ok) return box;
      const cashWith = collectionId === undefined ? null : await selectFillingCashWith(tx, { collectionId, machineId: box.value, recordedAt: now });
      const places = placesOf(command, cashWith);
      const writing: Writing = {
        sourceId: id, places, movedOn: move.movedOn, currency: amount.currency, amountMinor, now, newId: deps.newId,
        write: () => insertMove(tx, { ...move, outOfMachineId: box.value, id, currency: amount.currency, amountMinor, coinMinor: coin === undefined ? null : toAmount(coin).minor, now }),
      };
      const written = collectionId === undefined || fundId === undefined ? await moveBetweenPlaces(tx, writing) : await fillOutOfBoxes(unit, caller, { ...writing, collectionId, fundId, cashWith, reason });
      if (!written.ok) return written;
      if (alone.value) await labelRelaxed(tx, { recordId: id, rule: 'second-person', kind: 'cash-hand-in', now });
      const head = { id: deps.newId(), date: written.value, currency: amount.currency, sourceId: id };
      await postEntries(tx, { entries: [moneyMoved(head, { ...places, amountMinor })], recordedAt: now });
      return done(toMove(await presentMove(tx, id)));
    },
    { constraints: { cash_move_pkey: taken(['id'], 'a move of cash with this id') } },
  );
}

/** Who hands cash in does not say what was received of it: true where they are the only one there is. */
async function isReceivedAlone(tx: TenantTransaction, { collectorId, now }: { readonly collectorId: string; readonly now: Date }): Promise<Outcome<boolean>> {
  return isDoneAlone(tx, { recordedBy: await selectAccountsOf(tx, collectorId), now, detail: 'This cash is handed in by you: somebody else says what was received of it.' });
}

/** Coins are part of the amount. */
function wrongCoins(amount: Money, coin: Money | undefined): WrongField[] {
  if (coin === undefined) return [];
  if (coin.currency !== amount.currency) return [otherCurrency(['coin', 'currency'], 'The amount is in', amount.currency)];
  return toAmount(coin).minor > toAmount(amount).minor ? [{ path: ['coin'], code: 'more-than-amount', message: 'More coins than the whole amount.' }] : [];
}

type Writing = {
  readonly sourceId: string;
  readonly places: Places;
  readonly movedOn: LocalDate;
  readonly currency: CurrencyCode;
  readonly amountMinor: bigint;
  readonly now: Date;
  readonly newId: () => string;
  readonly write: () => Promise<void>;
};

/** The machine out of whose box a fund was filled, or null where nobody noted that: left out, that of the fund. */
async function boxOfFilling(tx: TenantTransaction, { collectionId, fundId, machineTag }: { readonly collectionId: string; readonly fundId: string; readonly machineTag: string | null | undefined }): Promise<Outcome<string | null>> {
  if (machineTag === null) return done(null);
  if (machineTag === undefined) return done((await selectFundPlace(tx, fundId))?.machine_id ?? null);
  const row = await selectCollection(tx, collectionId);
  if (row === null) throw new Error(`collection ${collectionId} is gone`);
  const machines = machinesOf(await shareMachinePlacements(tx, { tags: [machineTag], placementIds: [] }));
  const box = boxOfHanded(machineTag, [], machines, { siteId: row.site_id, siteCode: row.site_code, localDate: row.local_date });
  return Array.isArray(box) ? refusedFields('invalid-command', box) : done(box.machineId);
}

/** Writes a move on its day, which is that of its entry. */
async function moveBetweenPlaces(tx: TenantTransaction, move: Writing): Promise<Outcome<LocalDate>> {
  const { movedOn, currency, places } = move;
  const closed = await refusedWhenClosed(tx, { day: movedOn, path: ['movedOn'] });
  if (closed !== null) return closed;
  await lockPlaces(tx, places);
  const early = await refusedBeforeStocktake(tx, { movedOn, currency, places: [places.from, places.to] });
  if (early !== null) return early;
  await move.write();
  return done(movedOn);
}

/**
 * Writes a filling out of the boxes of a collection, which is held against that and goes into its books. Boxes are often
 * counted, and the filling known, when the month in which they were emptied is closed: it is booked today then.
 */
async function fillOutOfBoxes(unit: Unit, caller: Caller, filling: Writing & { readonly collectionId: string; readonly fundId: string; readonly cashWith: string | null; readonly reason: string | undefined }): Promise<Outcome<LocalDate>> {
  const { tx, now } = unit;
  const { movedOn, currency, places, amountMinor } = filling;
  const held = await holdForFilling(unit, caller, filling);
  if (!held.ok) return held;
  const date = await openDay(tx, { day: movedOn, now });
  await lockPlaces(tx, places);
  // What comes out of bags adds as much to the room's books as it takes off them.
  const early = await refusedBeforeStocktake(tx, { movedOn, currency, places: held.value.held.row.bagged ? [places.to] : [places.from, places.to] });
  if (early !== null) return early;
  const booked = await bookFilling(unit, { ...filling, ...held.value, date, differenceMinor: amountMinor });
  return booked.ok ? done(date) : booked;
}

/** The difference of a stocktake is booked: what went in or out before has been found missing or over with it. */
async function refusedBeforeStocktake(tx: TenantTransaction, { movedOn, currency, places }: { readonly movedOn: LocalDate; readonly currency: CurrencyCode; readonly places: readonly MoneyPlace[] }): Promise<Outcome<never> | null> {
  for (const { code, holderId } of places) {
    // Nobody counts the bank.
    if (code === 'bank' || code === 'other-means') continue;
    const latest = await latestStocktakeDay(tx, { holderId, currency });
    if (latest !== null && movedOn < latest) {
      return refusedFields('invalid-command', [{ path: ['movedOn'], code: 'before-latest', message: `${placeWords[code]} was counted on ${latest}: the difference up to then is booked.` }]);
    }
  }
  return null;
}

/** A move that was wrong is part of the difference of each stocktake after it: taken back as well, it would be booked twice. */
async function refusedAfterStocktake(tx: TenantTransaction, { move, bookedOn, places }: { readonly move: MoveRow; readonly bookedOn: LocalDate; readonly places: readonly MoneyPlace[] }): Promise<Outcome<never> | null> {
  for (const { code, holderId } of places) {
    if (code === 'bank' || code === 'other-means') continue;
    const counted = await firstStocktakeOf(tx, { holderId, currency: move.currency, bookedOn, recordedAt: move.recorded_at });
    if (counted !== null) {
      return refused('wrong-state', { detail: `${placeWords[code]} was counted on ${counted}, after this was recorded, and the difference is booked. Record what is right as a move of its own, and count again.` });
    }
  }
  return null;
}

/** The day itself, or today where the journal is closed on it. */
async function openDay(tx: TenantTransaction, { day, now }: { readonly day: LocalDate; readonly now: Date }): Promise<LocalDate> {
  return (await refusedWhenClosed(tx, { day, path: [] })) === null ? day : operatorDay(tx, now);
}

/** Takes a move back that was wrong; both stay on record. It is booked to its own day, or today where that is closed. */
export async function takeBackCashMove(deps: Backoffice, caller: Caller, command: { readonly id: string } & TakeBackCashMove): Promise<Outcome<CashMove>> {
  return perform<CashMove>(
    deps,
    caller,
    'cash-move.record',
    async (unit) => {
      const { tx, now } = unit;
      const move = await selectMove(tx, command.id);
      if (move === null) return refused('not-found');
      if (move.taken_back !== null) return refused('wrong-state', { detail: 'It was taken back before.' });
      const filled = move.collection_id === null ? null : await holdForTakingBack(unit, caller, { collectionId: move.collection_id, recordedBy: move.recorded_by, reason: command.reason });
      if (filled !== null && !filled.ok) return filled;
      const original = await readPostedEntry(tx, { kind: 'money-moved', sourceId: move.id });
      if (original === undefined) throw new Error(`move ${move.id} is not in the journal`);
      const date = await openDay(tx, { day: move.moved_on, now });
      const id = deps.newId();
      const cashWith = move.collection_id === null ? null : await selectFillingCashWith(tx, { collectionId: move.collection_id, machineId: move.out_of_machine_id, recordedAt: move.recorded_at });
      const places = placesOf({ kind: move.kind, collectorId: move.collector_id ?? undefined, fundId: move.fund_id ?? undefined }, cashWith);
      await lockPlaces(tx, places);
      const counted = await refusedAfterStocktake(tx, { move, bookedOn: original.date, places: filled?.value.held.row.bagged === true ? [places.to] : [places.from, places.to] });
      if (counted !== null) return counted;
      const write = (): Promise<void> => insertTakenBack(tx, { id, moveId: move.id, movedOn: date, reason: command.reason, now });
      if (filled === null) await write();
      else {
        const booked = await bookFilling(unit, { ...filled.value, cashWith, sourceId: id, date, differenceMinor: -move.amount_minor, now, newId: deps.newId, write });
        if (!booked.ok) return booked;
      }
      await postEntries(tx, { entries: [reversed({ id: deps.newId(), date, currency: move.currency, sourceId: id }, original)], recordedAt: now });
      return done(toMove(await presentMove(tx, move.id)));
    },
    { constraints: { cash_move_taken_back_once: fieldFailure('wrong-state', { path: [], code: 'taken-back', message: 'It was taken back before.' }) } },
  );
}

/**
 * What a collector counted at the machines, and hands in, is in the books once its visit is accepted. Counted before, the cash that they have, or that is
 * missing by what they handed in, would be booked as over, and come once more with the acceptance.
 */
async function refusedWhileVisitsWait(tx: TenantTransaction, { collectorId, currency, countedOn }: { readonly collectorId: string | undefined; readonly currency: CurrencyCode; readonly countedOn: LocalDate }): Promise<Outcome<never> | null> {
  if (collectorId === undefined) return null;
  const [first] = await selectVisitsWaiting(tx, { collectorId, currency, countedOn });
  if (first === undefined) return null;
  const { kept, site_code: siteCode, local_date: day } = first;
  const values = { day, ...(siteCode === null ? {} : { site: siteCode }) };
  const where = siteCode === null ? '' : ` at ${siteCode}`;
  return refusedFields('invalid-command', [
    kept
      ? { path: ['collectorId'], code: 'visit-kept-aside', message: `What this collector counted at the machines${where} on ${day} is not in the books: the visit is kept aside. Enter it first, or settle that it does not enter them.`, values }
      : { path: ['collectorId'], code: 'visits-waiting', message: `What this collector counted at the machines${where} on ${day} is not in the books yet. Accept that visit first, or discard it.`, values },
  ]);
}

/** The same of the counting room, for what it counted itself: it lies there, and is in the books once its visit is accepted. */
async function refusedWhileCountsWait(tx: TenantTransaction, { currency, countedOn }: { readonly currency: CurrencyCode; readonly countedOn: LocalDate }): Promise<Outcome<never> | null> {
  const first = await selectCountsWaiting(tx, { currency, countedOn });
  if (first === null) return null;
  const { site_code: site, local_date: day, visits } = first;
  return refusedFields('invalid-command', [
    { path: ['countedOn'], code: 'counts-waiting', message: `What the room counted is not in the books yet: ${visits === 1 ? 'the visit' : `${visits} visits, the first`} of ${day} at ${site}. Accept first, or discard.`, values: { day, site, visits: String(visits) } },
  ]);
}

/** Counts one of the operator's places of cash, and books what is over or short. */
export async function recordStocktake(deps: Backoffice, caller: Caller, command: RecordStocktake): Promise<Outcome<Stocktake>> {
  return perform<Stocktake>(
    deps,
    caller,
    'cash-move.record',
    async ({ tx, now }) => {
      const { counted, place, countedOn } = command;
      const { currency } = counted;
      const wrong = [...(await wrongPlaces(tx, { collectorId: command.collectorId, fundId: command.fundId, currency })), ...(await wrongDays(tx, { countedOn }, now))];
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const closed = await refusedWhenClosed(tx, { day: countedOn, path: ['countedOn'] });
      if (closed !== null) return closed;
      const account: MoneyPlace = place === 'fund' ? { code: 'cash-in-float', holderId: command.fundId ?? '' } : collectorOr(command.collectorId);
      const accountCode = accountCodeOf(account);
      await lockPlace(tx, accountCode);
      const waiting = place === 'counting-room' ? await refusedWhileCountsWait(tx, { currency, countedOn }) : await refusedWhileVisitsWait(tx, { collectorId: command.collectorId, currency, countedOn });
      if (waiting !== null) return waiting;
      const latest = await latestStocktakeDay(tx, { holderId: account.holderId, currency });
      if (latest !== null && countedOn < latest) {
        return refusedFields('invalid-command', [{ path: ['countedOn'], code: 'before-latest', message: `This place was counted on ${latest} already: the difference up to then is booked.` }]);
      }
      const bookedMinor = await selectBalance(tx, { accountCode, currency, day: countedOn });
      const countedMinor = toAmount(counted).minor;
      const id = command.id ?? deps.newId();
      await insertStocktake(tx, { ...command, id, currency, countedMinor, bookedMinor, now });
      await postEntries(tx, { entries: [cashCounted({ id: deps.newId(), date: countedOn, currency, sourceId: id }, { place: account, differenceMinor: countedMinor - bookedMinor })], recordedAt: now });
      return done({ id, place, countedOn, counted, booked: moneyOf(bookedMinor, currency), difference: moneyOf(countedMinor - bookedMinor, currency) });
    },
    { constraints: { cash_stocktake_pkey: taken(['id'], 'a count of cash with this id') } },
  );
}

/** Always in one order, so that two moves between the same places never wait for each other. */
async function lockPlaces(tx: TenantTransaction, { from, to }: Places): Promise<void> {
  for (const code of [accountCodeOf(from), accountCodeOf(to)].sort()) await lockPlace(tx, code);
}

type Named = { readonly collectorId?: string | undefined; readonly fundId?: string | undefined; readonly collectionId?: string | undefined; readonly currency: CurrencyCode };

async function wrongPlaces(tx: TenantTransaction, { currency, ...ids }: Named): Promise<WrongField[]> {
  const [collectorId, fundId, collectionId] = [ids.collectorId ?? null, ids.fundId ?? null, ids.collectionId ?? null];
  const named = await selectNamedPlaces(tx, { collectorId, fundId, collectionId });
  const kept = (path: string, what: string, own: CurrencyCode | null): WrongField[] => {
    if (own === null) return [{ path: [path], code: 'unknown', message: `There is no ${what} with this id.` }];
    return own === currency ? [] : [otherCurrency([path], `The ${what} is kept in`, own)];
  };
  return [
    ...(collectorId === null || named.collector === true ? [] : [{ path: ['collectorId'], code: 'unknown', message: 'Nobody of the operator’s people has this id.' }]),
    ...(fundId === null ? [] : kept('fundId', 'change fund', named.fund_currency)),
    ...(collectionId === null ? [] : kept('collectionId', 'collection', named.collection_currency)),
  ];
}

async function wrongDays(tx: TenantTransaction, days: { readonly [field: string]: LocalDate | string | undefined }, now: Date): Promise<WrongField[]> {
  const today = await operatorDay(tx, now);
  return Object.entries(days).flatMap(([field, day]) => (day === undefined || day <= today ? [] : [{ path: [field], code: 'in-the-future', message: 'Only what has happened is recorded.' }]));
}

async function operatorDay(tx: TenantTransaction, now: Date): Promise<LocalDate> {
  const { time_zone: timeZone } = await readOperator(tx);
  const day = localDay({ instant: now, timeZone });
  if (day === null) throw new Error('the clock is out of all calendars');
  return day;
}

async function presentMove(tx: TenantTransaction, id: string): Promise<MoveRow> {
  const row = await selectMove(tx, id);
  if (row === null) throw new Error(`move ${id} is gone`);
  return row;
}

export function toMove(row: MoveRow): CashMove {
  return {
    id: row.id,
    kind: row.kind,
    movedOn: row.moved_on,
    countedOn: row.counted_on,
    amount: moneyOf(row.amount_minor, row.currency),
    collectorId: row.collector_id,
    collectorName: row.collector_name,
    fundId: row.fund_id,
    fundCode: row.fund_code,
    collectionId: row.collection_id,
    machineTag: row.out_of_machine_tag,
    coin: row.coin_minor === null ? null : moneyOf(row.coin_minor, row.currency),
    reference: row.reference,
    takenBack: row.taken_back,
    recordedAt: formatInstant(row.recorded_at),
    recordedBy: row.recorded_by,
  };
}
