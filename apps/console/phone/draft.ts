import type { CoinSet, OwnStop, Visit } from '../generated';
import { unitsOf } from '../format/money';
import { isShown } from '../format/shown';
import { missingIn, notSaid, readUnread, type Unread } from '../parts/why-not-read';
import { readTypedAmount } from '../format/typed-amount';
import type { Stroke } from '../keys/record/strokes';
import { amountOf, countOfBox, emptyBox, figuresIn, filled, isTouched, leftInBox, meteredOf, type BoxDraft, type BoxError, type BoxLeft, type BoxPlace, type Way } from './box-draft';
import { scaleCheckFor, type ScaleDraft, type ScaleError } from './scale-draft';

export type Stop = OwnStop;
export type StopMachine = Stop['machines'][number];
/** What a visit is entered against: a stop of one's round, or any site. */
export type VisitPlace = Pick<Stop, 'siteId' | 'currency' | 'timeZone' | 'tokens' | 'byMeters' | 'machines' | 'refundClaims'>;

/** What is typed for one machine: its box, or the bag that it went into, and its meters. */
export interface MachineDraft extends BoxDraft {
  readonly bag: string;
  readonly seal: string;
  /** What each meter shows. */
  readonly readings: Readonly<Record<string, string>>;
  /** Why a meter was not read, by meter; not there in a draft of before. */
  readonly whyUnread?: Readonly<Record<string, Unread>> | undefined;
  /** What the machine is called: it may not be among those of another moment. */
  readonly tag?: string;
  /** Somebody says that it leaves today; not there in a draft of before. */
  readonly leaves?: boolean;
}

export interface RefundDraft {
  readonly id: string;
  readonly machineTag: string;
  readonly refundedOn: string;
  readonly amount: string;
  /** Out of the box by who collected, or by the site; a slip in a draft of before is the site's. */
  readonly paidBy?: 'site' | 'operator';
}

export interface HandedDraft {
  readonly id: string;
  readonly amount: string;
  readonly receiver: string;
  readonly strokes: readonly Stroke[];
  /** Out of whose box it came, and how much of it was coins; empty, or not there in a draft of before, where nobody says. */
  readonly machineTag?: string;
  readonly coin?: string;
}

export type Counting = 'here' | 'room' | 'both';

/** A visit as it is being entered. */
export interface Draft {
  /** When the visit began, RFC 3339. */
  readonly happenedAt: string;
  /** At the machines, in the counting room, or first there and then here. */
  readonly counting: Counting;
  /** Full boxes were exchanged for empty ones: said where all go to the counting room. Not there in a draft of before. */
  readonly exchanged?: boolean;
  /** As the last box was counted: the next one is likely to be, too. */
  readonly way: Way;
  readonly scale: ScaleDraft | null;
  readonly machines: Readonly<Record<string, MachineDraft>>;
  readonly refunds: readonly RefundDraft[];
  /** Slips that the site had entered and that were presented, by the id of the claim; not there in a draft of before. */
  readonly presented?: readonly string[];
  /** What each of them was called as it was ticked: a slip that is no longer listed can still be named. */
  readonly claimNames?: Readonly<Record<string, string>>;
  readonly handed: readonly HandedDraft[];
}

/** What the site had entered; a list that was read before there was any of it has none. */
export function claimsOf(stop: VisitPlace): VisitPlace['refundClaims'] {
  return (stop as Partial<VisitPlace>).refundClaims ?? [];
}

/** Slips that were ticked and are no longer listed: taken over elsewhere meanwhile, or taken back. They would be left out without a word. */
export function claimsGone({ presented = [], claimNames = {} }: Pick<Draft, 'presented' | 'claimNames'>, stop: VisitPlace): readonly { readonly id: string; readonly name: string | null }[] {
  const listed = new Set(claimsOf(stop).map(({ id }) => id));
  return presented.filter((id) => !listed.has(id)).map((id) => ({ id, name: claimNames[id] ?? null }));
}

/** The claim that says what a typed slip says: one that is not ticked before one that is; null where none does. */
export function claimLike({ machineTag, refundedOn, amount: typed, paidBy }: RefundDraft, { stop, presented, locale }: { readonly stop: VisitPlace; readonly presented: readonly string[]; readonly locale: string }): VisitPlace['refundClaims'][number] | null {
  const amount = readTypedAmount({ text: typed, currency: stop.currency, locale });
  // What was paid out of the box is no slip of the site's.
  if (amount === null || paidBy === 'operator') return null;
  const same = claimsOf(stop).filter((claim) => claim.machineTag === machineTag && claim.refundedOn === refundedOn && unitsOf(claim.amount) === unitsOf(amount));
  return same.find(({ id }) => !presented.includes(id)) ?? same[0] ?? null;
}

export const emptyMachine: MachineDraft = { ...emptyBox, bag: '', seal: '', readings: {}, whyUnread: {} };

export function emptyDraft(now: Date): Draft {
  // To the second: two visits of one site are told apart by their moment, and nobody reads thousandths.
  return { happenedAt: `${now.toISOString().slice(0, 19)}Z`, counting: 'here', way: 'amounts', scale: null, machines: {}, refunds: [], handed: [] };
}

/** What is typed of a machine, or an empty box that is counted in the way of the last one. */
export function machineIn(draft: Draft, machineId: string): MachineDraft {
  return draft.machines[machineId] ?? { ...emptyMachine, way: draft.way };
}

/** The draft with something else typed of a machine; a way that was chosen is that of the boxes after it. */
export function withMachine(draft: Draft, { machineId, tag }: Pick<StopMachine, 'machineId' | 'tag'>, typed: MachineDraft): Draft {
  return { ...draft, way: typed.way, machines: { ...draft.machines, [machineId]: { ...typed, tag } } };
}

/** Whether the machine's meters are recorded by nobody, and the terms go by them all the same. */
export function asksMetered(stop: Pick<Stop, 'byMeters'>, machine: StopMachine): boolean {
  return stop.byMeters && machine.meters.length === 0;
}

interface FieldError {
  readonly field: string;
  readonly reason: BoxError['reason'] | ScaleError['reason'] | 'seal-missing' | 'bag-missing' | 'digits' | 'too-many-digits' | 'reading-missing' | 'note-missing' | 'day' | 'receiver-missing' | 'more-coins' | 'machine-not-there' | 'claim-gone' | 'nothing';
  readonly machineTag?: string;
  /** The meter of the machine: all of them are asked the same. */
  readonly meter?: Pick<StopMachine['meters'][number], 'label' | 'digits'>;
  /** Which of several slips or hand-overs, from 1: all of them are asked the same. */
  readonly entry?: { readonly kind: 'refund' | 'handed'; readonly place: number };
}

/** Something typed that the way now chosen does not send; `lost` is what stands there, as typed. */
interface LeftError {
  readonly field: string;
  readonly reason: BoxLeft['reason'] | 'count-left' | 'bag-left' | 'beside-left' | 'not-there';
  readonly lost: string;
  readonly machineTag: string;
}

/** What is wrong, as data: the form has the words. `field` is the end of the id of its control. */
export type DraftError = FieldError | LeftError;

export interface Reading {
  readonly stop: VisitPlace;
  readonly coinSet: CoinSet | null;
  readonly locale: string;
}

type Found<Value> = { readonly value: Value; readonly errors: readonly FieldError[] };

/** The visit that was entered, or everything that is wrong with it. Machines about which nothing was said are left out. */
export function toVisit(draft: Draft, reading: Reading): { readonly visit: Visit } | { readonly errors: readonly DraftError[] } {
  const { stop } = reading;
  const machines = stop.machines.map((machine) => ({ machine, typed: machineIn(draft, machine.machineId) }));
  const counts = draft.counting === 'room' ? [] : machines.map(({ machine, typed }) => countOf(machine, typed, { ...reading, counting: draft.counting }));
  const bags = draft.counting === 'here' ? [] : machines.map(({ machine, typed }) => bagOf(machine, typed, { ...reading, counting: draft.counting }));
  const readings = machines.map(({ machine, typed }) => readingsOf(machine, typed, { asked: isEnteredIn(typed, draft.counting) }));
  const refunds = draft.refunds.map((refund, index) => ofEntry('refund', index, refundOf(refund, reading)));
  const presented = claimsOf(stop).filter(({ id }) => draft.presented?.includes(id)).map(({ id, machineTag, refundedOn, amount }) => ({ claimId: id, machineTag, refundedOn, amount, paidBy: 'site' as const }));
  const handed = draft.handed.map((each, index) => ofEntry('handed', index, handedOf(each, reading)));
  const left = machines.flatMap(({ machine, typed }) => leftOf(machine, { typed, counting: draft.counting, reading }));
  const scale = scaleCheckFor(counts.flatMap(({ value }) => value ?? []), { scale: draft.scale, locale: reading.locale });
  const isAboutCounting = ({ field }: LeftError): boolean => ['here', 'room', 'both'].includes(field);
  const ofMachines = machines.flatMap(({ machine: { tag } }, index) => [...left.filter((error) => error.machineTag === tag && !isAboutCounting(error)), ...[counts[index], bags[index], readings[index]].flatMap((found) => found?.errors ?? [])]);
  // In the order of the fields, from the top of the page down.
  const errors: DraftError[] = [...typedElsewhere(draft, reading), ...left.filter(isAboutCounting), ...('errors' in scale ? scale.errors : []), ...ofMachines, ...claimsGone(draft, stop).map(({ id }): FieldError => ({ field: `claim-${id}`, reason: 'claim-gone' })), ...[...refunds, ...handed].flatMap((found) => found.errors)];
  const visit: Visit = {
    siteId: stop.siteId,
    happenedAt: draft.happenedAt,
    ...(draft.counting === 'room' && draft.exchanged === true ? { boxesExchanged: true } : {}),
    counts: counts.flatMap(({ value }) => value ?? []),
    bags: bags.flatMap(({ value }) => value ?? []),
    readings: readings.flatMap(({ value }) => value.readings),
    unread: readings.flatMap(({ value }) => value.unread),
    refunds: [...presented, ...refunds.flatMap(({ value }) => value ?? [])],
    cashHanded: handed.flatMap(({ value }) => value ?? []),
    ...('check' in scale && scale.check !== null ? { scaleCheck: scale.check } : {}),
  };
  if (errors.length === 0 && visit.counts?.length === 0 && visit.bags?.length === 0) return { errors: [{ field: draft.counting, reason: 'nothing' }] };
  return errors.length > 0 ? { errors } : { visit };
}

function ofEntry<Value>(kind: 'refund' | 'handed', index: number, { value, errors }: { readonly value: Value; readonly errors: readonly FieldError[] }): Found<Value> {
  return { value, errors: errors.map((error) => ({ ...error, entry: { kind, place: index + 1 } })) };
}

function placeOf({ stop, coinSet, locale }: Reading): BoxPlace {
  return { currency: stop.currency, coinSet, locale };
}

type Count = NonNullable<Visit['counts']>[number];

type Entered = Reading & { readonly counting: Counting };

/** What is counted at the machine of a box that the room counts, too: the room counts what else lay in it. */
function cashOf(typed: MachineDraft): MachineDraft {
  return { ...typed, tokens: {}, houseCoin: '', badCoin: '' };
}

/** Whether what is in the box belongs to the removal of the machine: by the books, or as somebody says. */
function removalOf({ leaves }: StopMachine, typed: MachineDraft): { removal?: true } {
  // A list that a phone read before it was told says nothing of it.
  return (leaves as boolean | undefined) === true || typed.leaves === true ? { removal: true } : {};
}

function countOf(machine: StopMachine, typed: MachineDraft, reading: Entered): Found<Count | null> {
  const place = placeOf(reading);
  const count = countOfBox(reading.counting === 'both' ? cashOf(typed) : typed, place);
  // With a bag beside it, it comes with that.
  const isAsked = reading.counting === 'here' && asksMetered(reading.stop, machine);
  const metered = isAsked && (count.value !== null || typed.metered.trim() !== '') ? meteredOf(typed, place) : null;
  const errors = [...count.errors, ...(metered?.errors ?? [])].map((error): FieldError => atMachine(machine, error));
  if (count.value === null) return { value: null, errors: metered === null ? errors : [...errors, { field: `${machine.machineId}-coin`, reason: 'nothing', machineTag: machine.tag }] };
  return { value: { machineTag: machine.tag, ...count.value, ...meteredSent(metered), ...removalOf(machine, typed) }, errors };
}

function meteredSent(metered: ReturnType<typeof meteredOf> | null): Pick<Count, 'meteredAmount'> {
  return metered === null || metered.value === null ? {} : { meteredAmount: metered.value };
}

function atMachine({ machineId, tag }: StopMachine, { field, reason }: BoxError): FieldError {
  return { field: `${machineId}-${field}`, reason, machineTag: tag };
}

/** Whether the machine is part of the visit. */
export function isEnteredIn(typed: MachineDraft, counting: Counting): boolean {
  const isBagged = filled([typed.bag, typed.seal]).length > 0;
  if (counting === 'both') return isBagged || isTouched(cashOf(typed));
  return counting === 'here' ? isTouched(typed) : isBagged;
}

/** What would be missing from the books because it is out of sight. */
function leftOf(machine: StopMachine, { typed, counting, reading }: { readonly typed: MachineDraft; readonly counting: Counting; readonly reading: Reading }): LeftError[] {
  const error = (field: string, reason: LeftError['reason'], lost: readonly string[]): LeftError[] => (lost.length === 0 ? [] : [{ field, reason, lost: lost.join(', '), machineTag: machine.tag }]);
  if (counting === 'room') return error('room', 'count-left', figuresIn(typed, reading.coinSet));
  const inBox = leftInBox(typed, reading).flatMap(({ field, reason, lost }) => error(`${machine.machineId}-${field}`, reason, lost));
  if (counting === 'both') return [...error('both', 'beside-left', filled([...Object.values(typed.tokens), typed.houseCoin, typed.badCoin])), ...inBox];
  return [...error('here', 'bag-left', filled([typed.bag, typed.seal])), ...inBox];
}

/** What was typed of machines that are not among those of the visit: they stood there at the moment that was chosen before. */
function typedElsewhere({ machines }: Draft, { stop, coinSet }: Reading): LeftError[] {
  const gone = Object.entries(machines).filter(([machineId]) => stop.machines.every((machine) => machine.machineId !== machineId));
  return gone.flatMap(([, typed]): LeftError[] => {
    const lost = [...figuresIn(typed, coinSet), ...filled([typed.metered, typed.bag, typed.seal, ...Object.values(typed.readings)])];
    return lost.length === 0 || typed.tag === undefined ? [] : [{ field: 'at', reason: 'not-there', lost: lost.join(', '), machineTag: typed.tag }];
  });
}

function bagOf(machine: StopMachine, typed: MachineDraft, reading: Entered): Found<NonNullable<Visit['bags']>[number] | null> {
  const [number, seal] = [typed.bag.trim(), typed.seal.trim()];
  const isAsked = asksMetered(reading.stop, machine);
  const isCounted = reading.counting === 'both' && isTouched(cashOf(typed));
  if (number === '' && seal === '' && !isCounted && (!isAsked || typed.metered.trim() === '')) return { value: null, errors: [] };
  const metered = isAsked ? meteredOf(typed, placeOf(reading)) : null;
  const errors: FieldError[] = (metered?.errors ?? []).map((error) => atMachine(machine, error));
  if (number === '') errors.push({ field: `${machine.machineId}-bag`, reason: 'bag-missing', machineTag: machine.tag });
  if (seal === '') errors.push({ field: `${machine.machineId}-seal`, reason: 'seal-missing', machineTag: machine.tag });
  return { value: { machineTag: machine.tag, number, seal, ...meteredSent(metered), ...removalOf(machine, typed) }, errors };
}

type MetersSent = { readonly readings: NonNullable<Visit['readings']>; readonly unread: NonNullable<Visit['unread']> };

/** What the meters show, or of a machine that is part of the visit why they were not read. */
function readingsOf(machine: StopMachine, typed: MachineDraft, { asked }: { readonly asked: boolean }): Found<MetersSent> {
  const entered = machine.meters.flatMap((meter) => {
    const value = typed.readings[meter.meterId]?.trim() ?? '';
    return value === '' ? [] : [{ meter, value }];
  });
  const errors = entered.flatMap(({ meter, value }): FieldError[] => {
    const wrong = (reason: FieldError['reason']): FieldError[] => [{ field: `${machine.machineId}-${meter.meterId}`, reason, machineTag: machine.tag, meter }];
    if (!isShown(value)) return wrong('digits');
    return meter.digits !== null && value.length > meter.digits ? wrong('too-many-digits') : [];
  });
  const left = machine.meters.filter(({ meterId }) => asked && !entered.some(({ meter }) => meter.meterId === meterId)).map((meter) => ({ meter, meterId: meter.meterId, unread: typed.whyUnread?.[meter.meterId] ?? notSaid }));
  for (const { meter, meterId, unread } of left) {
    const missing = missingIn(unread);
    if (missing === 'why') errors.push({ field: `${machine.machineId}-${meterId}`, reason: 'reading-missing', machineTag: machine.tag, meter });
    if (missing === 'note') errors.push({ field: `${machine.machineId}-${meterId}-note`, reason: 'note-missing', machineTag: machine.tag, meter });
  }
  const unread = left.flatMap(({ meterId, unread: said }) => {
    const read = readUnread(said);
    return read === null ? [] : [{ machineId: machine.machineId, meterId, ...read }];
  });
  return { value: { readings: entered.map(({ meter, value }) => ({ machineId: machine.machineId, meterId: meter.meterId, value })), unread }, errors };
}

function refundOf(refund: RefundDraft, reading: Reading): Found<NonNullable<Visit['refunds']>[number] | null> {
  const { id, machineTag, refundedOn } = refund;
  const amount = amountAboveZero(refund.amount, `${id}-amount`, reading);
  const errors: FieldError[] = notThere(machineTag, `${id}-machine`, reading);
  if (!/^\d{4}-\d\d-\d\d$/.test(refundedOn)) errors.push({ field: `${id}-day`, reason: 'day' });
  errors.push(...amount.errors);
  return { value: { id, machineTag, refundedOn, amount: amount.value, paidBy: refund.paidBy ?? 'site' }, errors };
}

function handedOf(handed: HandedDraft, reading: Reading): Found<NonNullable<Visit['cashHanded']>[number] | null> {
  const { id, strokes, machineTag = '', coin = '' } = handed;
  const amount = amountAboveZero(handed.amount, `${id}-amount`, reading);
  const receiver = handed.receiver.trim();
  const coins = amountOf(coin, `${id}-coin`, placeOf(reading));
  const wrong = [...amount.errors, ...coins.errors];
  const errors: FieldError[] = [...amount.errors, ...(machineTag === '' ? [] : notThere(machineTag, `${id}-box`, reading)), ...coins.errors];
  if (receiver === '') errors.push({ field: `${id}-receiver`, reason: 'receiver-missing' });
  if (wrong.length === 0 && unitsOf(coins.value) > unitsOf(amount.value)) errors.push({ field: `${id}-coin`, reason: 'more-coins' });
  const signature = strokes.length === 0 ? {} : { signature: strokes.map((stroke) => [...stroke]) };
  const outOf = { ...(machineTag === '' ? {} : { machineTag }), ...(coin.trim() === '' ? {} : { coin: coins.value }) };
  return { value: { id, amount: amount.value, acknowledgedBy: receiver, ...outOf, ...signature }, errors };
}

/** A slip or cash of a machine that stood there at the moment that was chosen before. */
function notThere(machineTag: string, field: string, { stop }: Reading): FieldError[] {
  return stop.machines.some(({ tag }) => tag === machineTag) ? [] : [{ field, reason: 'machine-not-there' }];
}

type Amount = { amount: string; currency: string };

function amountAboveZero(text: string, field: string, reading: Reading): Found<Amount> {
  const { currency } = reading.stop;
  const amount = readTypedAmount({ text, currency, locale: reading.locale });
  return amount === null ? { ...amountOf('', field, placeOf(reading)), errors: [{ field, reason: 'amount' }] } : { value: { ...amount }, errors: [] };
}
