import { addCounts } from '#backoffice/collection/add-counts';
import { acceptCollection } from '#backoffice/collection/accept';
import { localDay } from '#backoffice/collection/local-day';
import type { Caller } from '#backoffice/caller';
import { listBags, recordBagStep } from '#backoffice/cash-trail/bags';
import { createChangeFund } from '#backoffice/cash-trail/fund';
import { recordCashMove } from '#backoffice/cash-trail/move';
import type { Backoffice } from '#backoffice/dependencies';
import { registerDevice } from '#backoffice/device/device';
import { setRhythm } from '#backoffice/round/due';
import { planRound } from '#backoffice/round/round';
import { sendVisit } from '#backoffice/visit/send';
import { moneyOf } from '#contracts/money';
import { addDays, toDayNumber, type LocalDate } from '#domain/calendar/local-date';
import { expectDone, inParallel } from './expect-done';
import { fitBoardsToRead, fitTellingBoard, readOut, shownBefore } from './metering';
import { chanceFrom } from './random';
import type { DemoIds } from './set-up';
import { boxContent, countKey, type DemoVisit, type DemoEvent } from './visits';
import type { DemoOperator, DemoSite } from './world';

type Rounds = {
  readonly deps: Backoffice;
  readonly operator: DemoOperator;
  readonly ids: DemoIds;
  readonly visits: readonly DemoVisit[];
  readonly bookkeeper: Caller;
  /** The account of the first collector. */
  readonly collector: Caller;
  readonly today: LocalDate;
  /** Present moment: today's round is of the day that it is at the sites. */
  readonly now: Date;
};

type Stop = { readonly site: DemoSite; readonly lastOn: LocalDate; readonly daysSince: number };

const AT_ONCE = 4;
/** Longest gap between two visits of the demo's sites, by their usual one: a few days more at the turn of a month. */
const rhythms = { 7: 10, 14: 18 } as const;
const DAYS_OVERDUE = 4;
const FILLED_MINOR = 5_000n;

/**
 * Collecting as it stands this morning: rounds with the one of today, a site that nobody has come to in time, a visit that a
 * phone sent and of which the bags were counted and paid into the bank, another of which the bags are still on their way, boards that are read by hand at the second stop, and a changer.
 */
export function roundEvents(rounds: Rounds): readonly DemoEvent[] {
  const roundOn = localDay({ instant: rounds.now, timeZone: rounds.operator.timeZone }) ?? rounds.today;
  // Nothing is entered on a day to which the books have not come yet.
  const today = roundOn < rounds.today ? roundOn : rounds.today;
  const [overdue, second, third, , onItsWay] = longestAgo(rounds);
  const counted = countedStop(rounds);
  if (overdue === undefined || second === undefined || third === undefined || counted === undefined || onItsWay === undefined) throw new Error(`${rounds.operator.name} has too few sites for a round`);
  let device = { id: '', secret: '' };
  const on = (daysAgo: number, enter: (day: LocalDate) => Promise<void>): DemoEvent => {
    const day = addDays(today, -daysAgo);
    return { on: day, enter: () => enter(day) };
  };
  return [
    on(30, () => setRhythms(rounds, overdue)),
    // Before the visit at which it was read for the first time, so that what it counted since is known.
    on(counted.daysSince + 1, () => fitTellingBoard({ ...rounds, caller: rounds.bookkeeper }, machinesAt(counted)[0]?.tag ?? '')),
    on(second.daysSince - 1, () => fitBoardsToRead({ ...rounds, caller: rounds.bookkeeper }, machinesAt(second).map(({ tag }) => tag))),
    on(3, async (day) => {
      device = await registerPhone(rounds);
      await fillChanger(rounds, day);
      await plan(rounds, { name: rounds.operator.words.earlierRound, on: addDays(day, 1), stops: [counted] });
    }),
    on(1, async (day) => {
      await sendBagged(rounds, { stop: counted, on: addDays(day, -1), device, sequence: 1 });
      await countBags(rounds, { stop: counted, on: addDays(day, -1), countedOn: day });
      await plan(rounds, { name: rounds.operator.words.earlierRound, on: day, stops: [onItsWay] });
      await plan(rounds, { name: rounds.operator.words.round, on: roundOn, stops: [overdue, second, third] });
    }),
    on(0, (day) => sendBagged(rounds, { stop: onItsWay, on: addDays(day, -1), device, sequence: 2 })),
  ];
}

/** What the board that tells by itself showed when its box was emptied the time before, as the file of that visit says it. */
export function readBefore(rounds: Pick<Rounds, 'operator' | 'visits' | 'today'>): ReadonlyMap<string, string> {
  const counted = countedStop(rounds);
  const [machine] = counted === undefined ? [] : machinesAt(counted);
  return new Map(counted === undefined || machine === undefined ? [] : [[countKey({ siteCode: counted.site.code, on: counted.lastOn }, { machineTag: machine.tag }), shownBefore]]);
}

/** The site of which the bags were counted, and whose board was read before. */
function countedStop(rounds: Pick<Rounds, 'operator' | 'visits' | 'today'>): Stop | undefined {
  return longestAgo(rounds)[3];
}

/** Sites by their last visit, the one that waits longest first. */
function longestAgo({ operator, visits, today }: Pick<Rounds, 'operator' | 'visits' | 'today'>): Stop[] {
  const last = new Map<string, LocalDate>();
  for (const visit of visits) if (visit.counts.length > 0) last.set(visit.siteCode, visit.on);
  const stops = operator.sites.flatMap((site) => {
    const lastOn = last.get(site.code);
    const stays = site.machines.some(({ move }) => move === null);
    return lastOn === undefined || !stays ? [] : [{ site, lastOn, daysSince: toDayNumber(today) - toDayNumber(lastOn) }];
  });
  return stops.sort((one, other) => other.daysSince - one.daysSince || (one.site.code < other.site.code ? -1 : 1));
}

async function setRhythms({ deps, bookkeeper, operator, ids }: Rounds, overdue: Stop): Promise<void> {
  await inParallel(operator.sites, AT_ONCE, async (site) => {
    const everyDays = site === overdue.site ? Math.max(1, overdue.daysSince - DAYS_OVERDUE) : rhythms[site.daysBetweenVisits];
    expectDone(await setRhythm(deps, bookkeeper, { siteId: ids.sites.get(site.code) ?? '', everyDays, boxLimit: null }), `set the rhythm of ${site.code}`);
  });
}

async function plan({ deps, bookkeeper, operator, ids }: Rounds, round: { readonly name: string; readonly on: LocalDate; readonly stops: readonly Stop[] }): Promise<void> {
  const siteIds = round.stops.map(({ site }) => ids.sites.get(site.code) ?? '');
  const collectorId = ids.people.get(operator.collectors[0]?.code ?? '') ?? '';
  expectDone(await planRound(deps, bookkeeper, { name: round.name, plannedOn: round.on, collectorId, siteIds }), `plan ${round.name}`);
}

async function registerPhone({ deps, collector, operator }: Rounds): Promise<{ id: string; secret: string }> {
  const { id, secret } = expectDone(await registerDevice(deps, collector, { name: `${operator.words.phone} ${operator.collectors[0]?.name ?? ''}` }), 'register a phone');
  if (secret === null) throw new Error('a new phone came without its secret');
  return { id, secret };
}

/** A changer at the first site, filled out of the counting room. */
async function fillChanger({ deps, bookkeeper, operator, ids }: Rounds, day: LocalDate): Promise<void> {
  const siteId = ids.sites.get(operator.sites[0]?.code ?? '') ?? '';
  const fund = expectDone(await createChangeFund(deps, bookkeeper, { code: 'CH-1', kind: 'changer', siteId }), 'set up a changer');
  const move = { kind: 'fund-filled' as const, movedOn: day, amount: moneyOf(FILLED_MINOR, operator.currency), fundId: fund.id };
  expectDone(await recordCashMove(deps, bookkeeper, move), 'fill the changer');
}

type BaggedVisit = { readonly stop: Stop; readonly on: LocalDate };

/** Machines that stand at the site now, in the order in which the collector walks past them. */
function machinesAt({ site }: Stop): DemoSite['machines'] {
  return site.machines.filter(({ move }) => move === null);
}

function labelsOf({ stop, on }: BaggedVisit): { readonly machineTag: string; readonly number: string; readonly seal: string }[] {
  const sealed = toDayNumber(on);
  return machinesAt(stop).map(({ tag }, index) => ({ machineTag: tag, number: `B-${tag.slice(2)}`, seal: `${sealed}-${String(index + 1).padStart(2, '0')}` }));
}

async function sendBagged({ deps, collector, ids }: Rounds, visit: BaggedVisit & { readonly device: { readonly id: string; readonly secret: string }; readonly sequence: number }): Promise<void> {
  const { stop, on, device, sequence } = visit;
  // Morning in the one country and afternoon in the other.
  const body = { siteId: ids.sites.get(stop.site.code) ?? '', happenedAt: `${on}T15:30:00Z`, bags: labelsOf(visit) };
  const sent = expectDone(await sendVisit(deps, collector, { id: deps.newId(), deviceId: device.id, deviceSecret: device.secret, sequence, visit: body }), 'send a visit');
  if (sent.outcome !== 'entered') throw new Error(`the demo's visit to ${stop.site.code} was kept aside`);
}

/** In the office the next day: each bag is received, opened under its seal and counted, and the money goes to the bank. */
async function countBags({ deps, bookkeeper, operator, ids }: Rounds, visit: BaggedVisit & { readonly countedOn: LocalDate }): Promise<void> {
  const { stop, on, countedOn } = visit;
  const siteCode = stop.site.code;
  const bags = expectDone(await listBags(deps, bookkeeper, { day: on }), 'list the bags').items.filter((bag) => bag.siteCode === siteCode);
  await inParallel(bags, AT_ONCE, async ({ id, seal }) => {
    for (const kind of ['received', 'opened'] as const) expectDone(await recordBagStep(deps, bookkeeper, { id, kind, seal }), `note a bag of ${siteCode}`);
  });
  const collectionId = bags[0]?.collectionId ?? '';
  const chance = chanceFrom(`bags of ${operator.code}`);
  const money = (minor: bigint) => moneyOf(minor, operator.currency);
  const boxes = machinesAt(stop).map((machine) => ({ tag: machine.tag, ...boxContent(chance, { operator, site: stop.site, machine, since: stop.lastOn, day: on }) }));
  const [told] = boxes;
  if (told !== undefined) await readOut({ deps, operator, ids, caller: bookkeeper }, { collectionId, box: told });
  const counts = boxes.map(({ tag, coinMinor, noteMinor }) => ({ machineTag: tag, coin: money(coinMinor), note: money(noteMinor), tokens: [], readings: [], unread: [], removal: false, part: 1 }));
  expectDone(await addCounts(deps, bookkeeper, { collectionId, counts, refunds: [], cashHanded: [] }), `count the bags of ${siteCode}`);
  expectDone(await acceptCollection(deps, bookkeeper, { id: collectionId }), `accept the bags of ${siteCode}`);
  const total = boxes.reduce((sum, { coinMinor, noteMinor }) => sum + coinMinor + noteMinor, 0n);
  expectDone(await recordCashMove(deps, bookkeeper, { kind: 'paid-in', movedOn: countedOn, countedOn: on, amount: money(total), reference: 'Deposit 0148' }), 'pay the cash in');
}
