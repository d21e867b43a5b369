import type { CountEntry, HandedEntry, RefundEntry } from '#contracts/collection';
import { toAmount, type Money } from '#contracts/money';
import type { WrongField } from '#contracts/outcome';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { placementOn, type Standing } from '../placement/standing';
import { notPlacedHere, otherCurrency, unknownMachine } from '../refusal';
import { meteredMissing, saidAlready, toContents, typedBesideFirstCount, typedBesideMeters, typedByCounter, wrongContents } from './box-contents';
import { countedCash } from './tally';
import type { AgreementOnDay, MachinePlacementRow } from './directory.sql';
import { claimNamedTwice, wrongClaim, type NamedClaim } from '../refund-claim/wrong-claim';
import type { HandedBox, NewCount, NewEntries, NewHanded, NewSlip } from './record-collections';

export type Entries = {
  readonly counts: readonly CountEntry[];
  readonly refunds: readonly RefundEntry[];
  readonly cashHanded: readonly HandedEntry[];
  readonly scaleCheckId?: string | undefined;
};

/** The visit that the entries belong to, and what they are held against. */
export type EntryContext = {
  readonly collectionId: string;
  readonly siteId: string;
  readonly siteCode: string;
  readonly currency: CurrencyCode;
  readonly localDate: LocalDate;
  readonly agreement: AgreementOnDay;
  readonly machines: readonly MachinePlacementRow[];
  /** Counted at the machine: what the meters imply comes with the room's count. */
  readonly atMachine: boolean;
  /** Counted in the room: what the meters imply is nothing that is seen or typed there. */
  readonly inRoom: boolean;
  /** Counted out of bags: what was handed out before bagging is in no count, and comes on top. */
  readonly bagged: boolean;
  /** Machines whose meters are recorded: what these imply is read off them and not typed. */
  readonly metered: ReadonlySet<string>;
  /** What the meters imply, as it came with the bags of these machines; who counts them is not asked for it, nor shown it. */
  readonly bagMetered?: ReadonlyMap<string, bigint>;
  /** Claims of the site that the slips name, by id. */
  readonly claims?: ReadonlyMap<string, NamedClaim>;
  /** Coins were weighed on a scale that is known to show right. */
  readonly scaleChecked: boolean;
  /** How near to a whole number of pieces a weight must come. */
  readonly slackPercent: number;
  readonly newId: () => string;
};

export type Machine = { readonly id: string; readonly tag: string; readonly placements: readonly (Standing & { readonly siteCode: string })[] };

/** Entries ready to be written, or everything that is wrong with them, field by field. */
export function checkEntries(entries: Entries, context: EntryContext): NewEntries | WrongField[] {
  const machines = machinesOf(context.machines);
  const wrong: WrongField[] = [];
  const bagMetered = new Map(context.bagMetered);
  const counts = entries.counts.flatMap((entry, index) => keep(withBagMetered(checkCount(entry, ['counts', index], machines, context), bagMetered), wrong));
  const slips = entries.refunds.flatMap((entry, index) => keep(checkSlip(entry, ['refunds', index], machines, context), wrong));
  const handed = entries.cashHanded.flatMap((entry, index) => keep(checkHanded(entry, ['cashHanded', index], machines, context), wrong));
  if (wrong.length === 0) wrong.push(...countedTwice(counts, entries.counts), ...claimNamedTwice(entries.refunds), ...(context.bagged ? [] : moreHandedThanCounted(counts, handed)));
  return wrong.length > 0 ? wrong : { counts, slips, handed };
}

type Path = readonly (string | number)[];

function keep<Entry>(checked: Entry | WrongField[], wrong: WrongField[]): Entry[] {
  if (!Array.isArray(checked)) return [checked];
  wrong.push(...checked);
  return [];
}

/** What came with the bag goes with the first part of the box, and nothing with the others. */
function withBagMetered(count: NewCount | WrongField[], bagMetered: Map<string, bigint>): NewCount | WrongField[] {
  if (Array.isArray(count)) return count;
  const meteredMinor = bagMetered.get(count.machineId);
  if (meteredMinor === undefined) return count;
  bagMetered.set(count.machineId, 0n);
  return { ...count, meteredMinor };
}

function checkCount(entry: CountEntry, path: Path, machines: readonly Machine[], context: EntryContext): NewCount | WrongField[] {
  const { removal, part } = entry;
  const found = findMachine(entry, path, machines);
  const contents = toContents(entry);
  const cash = countedCash(entry, path, context);
  const isMetered = !Array.isArray(found) && context.metered.has(found.machine.id);
  const cameWithBag = !Array.isArray(found) && context.bagMetered?.has(found.machine.id) === true;
  const wrong = [
    ...(Array.isArray(cash) ? cash : []),
    ...wrongContents(entry, path, context),
    ...(isMetered ? typedBesideMeters(entry, path) : context.inRoom ? typedByCounter(entry, path) : context.atMachine ? typedBesideFirstCount(entry, path) : cameWithBag ? saidWithBag(entry, path) : meteredMissing(contents.meteredMinor, path, context.agreement)),
    ...(context.atMachine ? countedInRoom(entry, path) : []),
    ...(context.atMachine && entry.readings.length + entry.unread.length > 0 ? [{ path: [...path, 'readings'], code: 'not-for-field-counts', message: 'Readings come with the room count, or to the machine: who reads the meters does not count.' }] : []),
  ];
  if (Array.isArray(found)) return [...found, ...wrong];
  const placement = placementOn({ placements: found.machine.placements, siteId: context.siteId, day: context.localDate, removal });
  if (placement === null || (found.placementId !== undefined && found.placementId !== placement.id)) {
    return [standsElsewhere(found.machine, [...path, found.field], { removal, ...context }), ...wrong];
  }
  if (wrong.length > 0 || Array.isArray(cash)) return wrong;
  return {
    id: entry.id ?? context.newId(),
    ...visitOf(context),
    placementId: placement.id,
    machineId: found.machine.id,
    part,
    removal,
    ...cash,
    ...contents,
  };
}

/** The room counts what else lay in the box: entered at the machine it would go away unsaid. */
function countedInRoom({ tokens, houseCoin, badCoin }: CountEntry, path: Path): WrongField[] {
  const fields = [...(tokens.length > 0 ? ['tokens'] : []), ...(houseCoin === undefined ? [] : ['houseCoin']), ...(badCoin === undefined ? [] : ['badCoin'])];
  return fields.map((field) => ({ path: [...path, field], code: 'counted-in-room', message: 'Of a box that the counting room counts afterwards, coins and notes alone are counted at the machine: the room counts what else lay in it.' }));
}

/** What came with the bag holds, and another amount beside it would go away unsaid. */
function saidWithBag({ meteredAmount }: CountEntry, path: Path): WrongField[] {
  return meteredAmount === undefined ? [] : [saidAlready([...path, 'meteredAmount'])];
}

type Found = { readonly machine: Machine; readonly field: string; readonly placementId: string | undefined };

function findMachine({ machineTag, placementId }: CountEntry, path: Path, machines: readonly Machine[]): Found | WrongField[] {
  if (placementId !== undefined) {
    const machine = machines.find(({ placements }) => placements.some(({ id }) => id === placementId));
    if (machine !== undefined) return { machine, field: 'placementId', placementId };
    return [{ path: [...path, 'placementId'], code: 'unknown', message: 'There is no placement with this id.' }];
  }
  const machine = machines.find(({ tag }) => tag === machineTag);
  if (machine !== undefined) return { machine, field: 'machineTag', placementId: undefined };
  return [unknownMachine([...path, 'machineTag'], machineTag ?? '')];
}

/** A slip belongs to where the machine stood when the money was given back, the day of its removal included. */
function checkSlip(entry: RefundEntry, path: Path, machines: readonly Machine[], context: EntryContext): NewSlip | WrongField[] {
  const { refundedOn } = entry;
  const wrong = [...wrongCurrency(entry.amount, [...path, 'amount'], context), ...wrongCoinPart(entry, path, context)];
  if (refundedOn > context.localDate) wrong.push({ path: [...path, 'refundedOn'], code: 'after-visit', message: `The slip was presented on ${context.localDate}.` });
  const machine = machines.find(({ tag }) => tag === entry.machineTag);
  if (machine === undefined) return [unknownMachine([...path, 'machineTag'], entry.machineTag), ...wrong];
  const days = { placements: machine.placements, siteId: context.siteId, day: refundedOn };
  const placement = placementOn({ ...days, removal: false }) ?? placementOn({ ...days, removal: true });
  if (placement === null) wrong.push(standsElsewhere(machine, [...path, 'machineTag'], { removal: false, siteCode: context.siteCode, localDate: refundedOn }));
  if (wrong.length === 0) wrong.push(...wrongClaim(entry, path, { claims: context.claims, siteId: context.siteId, machineId: machine.id }));
  if (wrong.length > 0 || placement === null) return wrong;
  return {
    id: entry.id ?? context.newId(),
    ...visitOf(context),
    placementId: placement.id,
    machineId: machine.id,
    claimId: entry.claimId ?? null,
    refundedOn,
    amountMinor: toAmount(entry.amount).minor,
    paidBy: entry.paidBy,
    coinMinor: entry.coin === undefined ? null : toAmount(entry.coin).minor,
  };
}

function checkHanded(entry: HandedEntry, path: Path, machines: readonly Machine[], context: EntryContext): NewHanded | WrongField[] {
  const { agreement } = context;
  const partyId = entry.partyId ?? agreement.party_id;
  const wrong = wrongCurrency(entry.amount, [...path, 'amount'], context);
  if (partyId !== agreement.party_id && !agreement.other_party_ids.includes(partyId)) {
    wrong.push({ path: [...path, 'partyId'], code: 'not-of-agreement', message: 'The agreement that holds at the site does not list this party.' });
  }
  const box = entry.machineTag === undefined ? null : boxOfHanded(entry.machineTag, path, machines, context);
  if (Array.isArray(box)) wrong.push(...box);
  wrong.push(...wrongCoinPart(entry, path, context));
  if (wrong.length > 0 || Array.isArray(box)) return wrong;
  const coinMinor = entry.coin === undefined ? null : toAmount(entry.coin).minor;
  return { id: entry.id ?? context.newId(), ...visitOf(context), partyId, amountMinor: toAmount(entry.amount).minor, acknowledgedBy: entry.acknowledgedBy, box, coinMinor };
}

/** The box out of which cash was handed: of a machine that stands there on the day, or was removed on it. */
export function boxOfHanded(machineTag: string, path: Path, machines: readonly Machine[], context: Pick<EntryContext, 'siteId' | 'siteCode' | 'localDate'>): HandedBox | WrongField[] {
  const machine = machines.find(({ tag }) => tag === machineTag);
  if (machine === undefined) return [unknownMachine([...path, 'machineTag'], machineTag)];
  const days = { placements: machine.placements, siteId: context.siteId, day: context.localDate };
  const placement = placementOn({ ...days, removal: false }) ?? placementOn({ ...days, removal: true });
  if (placement === null) return [standsElsewhere(machine, [...path, 'machineTag'], { removal: false, ...context })];
  return { placementId: placement.id, machineId: machine.id };
}

/** Coins are part of the amount, in its currency. */
export function wrongCoinPart({ amount, coin }: { readonly amount: Money; readonly coin?: Money | null | undefined }, path: Path, context: Pick<EntryContext, 'currency' | 'siteCode'>): WrongField[] {
  if (coin === undefined || coin === null) return [];
  const other = wrongCurrency(coin, [...path, 'coin'], context);
  if (other.length > 0 || amount.currency !== coin.currency) return other;
  return toAmount(coin).minor > toAmount(amount).minor ? [{ path: [...path, 'coin'], code: 'more-than-amount', message: 'More coins than the whole amount.' }] : [];
}

/** One box, one figure, unless its parts are numbered: two entries are as likely a slip of the hand as two bags. */
function countedTwice(counts: readonly NewCount[], entries: readonly CountEntry[]): WrongField[] {
  const seen = new Set<string>();
  return counts.flatMap((count, index) => {
    const key = `${count.placementId} ${count.part}`;
    if (!seen.has(key)) {
      seen.add(key);
      return [];
    }
    const field = entries[index]?.placementId === undefined ? 'machineTag' : 'placementId';
    return [{ path: ['counts', index, field], code: 'counted-twice', message: 'This box is in the list already: number the parts of one box.' }];
  });
}

/** What is handed out before bagging comes out of the boxes. */
function moreHandedThanCounted(counts: readonly NewCount[], handed: readonly NewHanded[]): WrongField[] {
  const counted = counts.reduce((sum, { coinMinor, noteMinor }) => sum + coinMinor + noteMinor, 0n);
  const given = handed.reduce((sum, { amountMinor }) => sum + amountMinor, 0n);
  if (given <= counted) return [];
  return [{ path: ['cashHanded'], code: 'more-than-counted', message: 'More was handed out than came out of the boxes. Counts include what was handed out.' }];
}

function wrongCurrency(money: Money, path: Path, context: Pick<EntryContext, 'currency' | 'siteCode'>): WrongField[] {
  if (money.currency === context.currency) return [];
  return [otherCurrency([...path, 'currency'], `Site ${context.siteCode} is kept in`, context.currency)];
}

function visitOf({ collectionId, siteId, currency }: EntryContext) {
  return { collectionId, siteId, currency };
}

/** Says with it where the machine was instead. */
function standsElsewhere(machine: Machine, path: Path, asked: { removal: boolean; siteCode: string; localDate: LocalDate }): WrongField {
  const { removal, siteCode, localDate } = asked;
  const there = machine.placements.find(({ placedOn, removedOn }) => placedOn <= localDate && (removedOn === null || localDate < removedOn));
  const instead = there === undefined ? 'it stood at no site' : `it stood at site ${there.siteCode} since ${there.placedOn}`;
  if (!removal) return notPlacedHere(path, { machineTag: machine.tag, where: `at site ${siteCode}`, day: localDate, instead });
  return { path, code: 'no-removal-that-day', message: `Machine ${machine.tag} was not removed from site ${siteCode} on ${localDate}; ${instead}. End or move its placement on that day first.` };
}

/** Machines with their placements, of rows that come one per placement. */
export function machinesOf(rows: readonly MachinePlacementRow[]): Machine[] {
  const machines = new Map<string, { id: string; tag: string; placements: (Standing & { siteCode: string })[] }>();
  for (const row of rows) {
    const machine = machines.get(row.machine_id) ?? { id: row.machine_id, tag: row.tag, placements: [] };
    machines.set(row.machine_id, machine);
    if (row.id !== null && row.site_id !== null && row.placed_on !== null) {
      machine.placements.push({ id: row.id, siteId: row.site_id, siteCode: row.site_code ?? '', placedOn: row.placed_on, removedOn: row.removed_on });
    }
  }
  return [...machines.values()];
}
