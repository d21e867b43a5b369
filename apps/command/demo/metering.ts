import { acceptAuditFile } from '#backoffice/audit-file/accept';
import { stageAuditFile } from '#backoffice/audit-file/stage';
import type { Caller } from '#backoffice/caller';
import type { Backoffice } from '#backoffice/dependencies';
import { takeReport } from '#backoffice/machine-report/report';
import { makeMachineToken } from '#backoffice/machine-report/token';
import { fitBoard } from '#backoffice/meter/boards';
import { moneyOf } from '#contracts/money';
import { addDays, toDayNumber, type LocalDate } from '#domain/calendar/local-date';
import { periodContaining } from '#domain/calendar/periods';
import { transmissionOf } from './audit-transmission';
import { expectDone } from './expect-done';
import { chanceFrom } from './random';
import type { DemoIds } from './set-up';
import { countKey, type DemoCount, type DemoEvent, type DemoVisit } from './visits';
import type { DemoMachine, DemoOperator, DemoSite } from './world';

/**
 * Recorded meters, on the machines of one site: enough for every screen about them, and few, because each count that is
 * compared with meters is work of the first start. One of the meters has passed its last value since; one was read wrong at
 * the latest visit; and out of one box something is taken at each visit since the last whole period began.
 */
export type DemoMetering = {
  readonly site: DemoSite;
  readonly fittedOn: LocalDate;
  readonly skimmedFrom: LocalDate;
  /** What the column of readings says of a count, by {@link countKey}. */
  readonly readings: ReadonlyMap<string, string>;
  readonly machines: readonly MeteredMachine[];
};

type MeteredMachine = { readonly tag: string; readonly start: Shown; readonly read: readonly (Shown & { readonly on: LocalDate })[] };
type Shown = { readonly coins: bigint; readonly notes: bigint };

const FITTED_DAYS_AGO = 182;
const MOST_PER_HOUR = 60;
const CAPACITY = 100_000n;
/** What three boards show as they are fitted: the first is near the end of its five digits. */
const starts: readonly Shown[] = [{ coins: 98_900n, notes: 4_210n }, { coins: 12_040n, notes: 3_115n }, { coins: 40_310n, notes: 910n }];
const SKIMMED = 1;
const READ_WRONG = 2;
const SKIMMED_PERCENT = 10n;
const MISREAD = 20_000n;

/** Value of one unit of the coin and of the note meter, in minor units. */
export function unitsOf({ currency }: DemoOperator): Shown {
  return currency === 'USD' ? { coins: 25n, notes: 100n } : { coins: 50n, notes: 500n };
}

export function meteringOf(operator: DemoOperator, visits: readonly DemoVisit[], today: LocalDate): DemoMetering {
  const fittedOn = addDays(today, -FITTED_DAYS_AGO);
  const current = periodContaining(operator.cycle, today);
  const skimmedFrom = periodContaining(operator.cycle, addDays(current.from, -1)).from;
  const site = operator.sites.find((each) => each.daysBetweenVisits === 7 && stayingAt(each).length >= starts.length);
  if (site === undefined) throw new Error(`${operator.name} has no site for its meters`);
  const readings = new Map<string, string>();
  const chance = chanceFrom(`meters of ${operator.code}`);
  const machines = starts.map((start, place): MeteredMachine => {
    const tag = stayingAt(site)[place]?.tag ?? '';
    const counted = visits.flatMap((visit) => (visit.siteCode === site.code && visit.on > fittedOn ? visit.counts.flatMap((count) => (count.machineTag === tag ? [{ visit, count }] : [])) : []));
    let shown = start;
    const read = counted.map(({ visit, count }, index) => {
      shown = grown(shown, { count, operator, slip: chance.between(-1, 1), skimmed: place === SKIMMED && visit.on >= skimmedFrom });
      const said = place === READ_WRONG && index === counted.length - 1 ? (shown.coins + CAPACITY - MISREAD) % CAPACITY : shown.coins;
      readings.set(countKey(visit, count), `Coins=${digits(said)}|Notes=${digits(shown.notes)}`);
      return { on: visit.on, ...shown };
    });
    return { tag, start, read };
  });
  return { site, fittedOn, skimmedFrom, readings, machines };
}

function stayingAt(site: DemoSite): readonly DemoMachine[] {
  return site.machines.filter(({ move, shortage }) => move === null && shortage === null);
}

/** Meters after a count: what lay in the box, what was taken out of it before, and a coin that was counted wrong. */
function grown(shown: Shown, of: { readonly count: DemoCount; readonly operator: DemoOperator; readonly slip: number; readonly skimmed: boolean }): Shown {
  const unit = unitsOf(of.operator);
  const inBox = of.count.coinMinor / unit.coins;
  const coins = of.skimmed ? (inBox * 100n) / (100n - SKIMMED_PERCENT) : inBox;
  const played = coins + BigInt(of.slip);
  return { coins: (shown.coins + (played > 0n ? played : 0n)) % CAPACITY, notes: (shown.notes + of.count.noteMinor / unit.notes) % CAPACITY };
}

const digits = (value: bigint): string => String(value).padStart(5, '0');

type Metered = { readonly deps: Backoffice; readonly operator: DemoOperator; readonly ids: DemoIds; readonly bookkeeper: Caller; readonly metering: DemoMetering; readonly today: LocalDate };

/** Boards going in, and what the machine that is skimmed reports of itself. */
export function meterEvents(metered: Metered): readonly DemoEvent[] {
  const { metering, today } = metered;
  return [
    { on: metering.fittedOn, enter: () => fitBoards(metered) },
    { on: today, enter: () => report(metered) },
  ];
}

async function fitBoards({ deps, operator, ids, bookkeeper, metering }: Metered): Promise<void> {
  const unit = unitsOf(operator);
  const meter = (label: string, tender: 'coin' | 'note', unitMinor: bigint, value: bigint) => ({ label, tender, digits: 5, unitValue: moneyOf(unitMinor, operator.currency), mostPerHour: MOST_PER_HOUR, value: digits(value) });
  for (const { tag, start } of metering.machines) {
    const meters = [meter('Coins', 'coin', unit.coins, start.coins), meter('Notes', 'note', unit.notes, start.notes)];
    expectDone(await fitBoard(deps, bookkeeper, { machineId: ids.machines.get(tag) ?? '', label: 'Main board', meters, replacedReadings: [] }), `fit the board of ${tag}`);
  }
}

const REPORTED_DAYS = 21;

/** Three weeks of what a machine says by itself each morning, with its door at each visit, and a fault that is not over. */
async function report({ deps, ids, bookkeeper, metering, today }: Metered): Promise<void> {
  const machine = metering.machines[SKIMMED];
  if (machine === undefined || machine.read.length === 0) return;
  const { secret } = expectDone(await makeMachineToken(deps, bookkeeper, { machineId: ids.machines.get(machine.tag) ?? '' }), `make a token for ${machine.tag}`);
  if (secret === null) throw new Error('a new token came without its secret');
  const mornings = Array.from({ length: REPORTED_DAYS }, (_, index) => addDays(today, index + 1 - REPORTED_DAYS));
  const readings = mornings.flatMap((day) => {
    const shown = shownOn(machine, day);
    return shown === null ? [] : [{ meter: 'Coins', value: digits(shown.coins), readAt: `${day}T06:00:00Z` }, { meter: 'Notes', value: digits(shown.notes), readAt: `${day}T06:00:00Z` }];
  });
  const visited = machine.read.filter(({ on }) => on >= (mornings[0] ?? today) && on < today);
  const events = [
    ...visited.flatMap(({ on }) => [{ kind: 'door-opened' as const, happenedAt: `${on}T15:00:00Z`, fault: '' }, { kind: 'door-closed' as const, happenedAt: `${on}T15:20:00Z`, fault: '' }]),
    { kind: 'fault' as const, happenedAt: `${addDays(today, -1)}T19:00:00Z`, fault: 'E-7' },
  ];
  expectDone(await takeReport(deps, { secret, requestId: 'demo', machineTag: machine.tag, readings, events }), `report of ${machine.tag}`);
}

/** What the meters showed on a morning: between two visits in proportion to the days, after the last one no more than then. */
function shownOn({ read }: MeteredMachine, day: LocalDate): Shown | null {
  const next = read.findIndex(({ on }) => on >= day);
  const [before, after] = [next === -1 ? read.at(-1) : read[next - 1], next === -1 ? undefined : read[next]];
  if (before === undefined) return null;
  if (after === undefined) return before;
  const [passed, all] = [toDayNumber(day) - toDayNumber(before.on), toDayNumber(after.on) - toDayNumber(before.on)];
  const between = (from: bigint, to: bigint): bigint => (from + (((to + CAPACITY - from) % CAPACITY) * BigInt(passed)) / BigInt(all)) % CAPACITY;
  return { coins: between(before.coins, after.coins), notes: between(before.notes, after.notes) };
}

/** Boards that the collector reads by hand today: mechanical meters of money and credits, of which one is about to pass its last value, and electronic ones. */
export async function fitBoardsToRead({ deps, operator, ids, caller }: ReadOut, [mechanical, electronic]: readonly string[]): Promise<void> {
  const { words, currency } = operator;
  const unit = unitsOf(operator);
  const meter = (label: string, tender: 'coin' | 'note' | 'plays', of: { readonly unit: bigint; readonly digits: number | null; readonly value: string }) => ({ label, tender, digits: of.digits, unitValue: moneyOf(of.unit, currency), mostPerHour: MOST_PER_HOUR, value: of.value });
  const { boards } = words;
  const boardsOf = [
    { tag: mechanical, label: boards.mechanical, meters: [meter(boards.coins, 'coin', { unit: unit.coins, digits: 5, value: '99870' }), meter(boards.notes, 'note', { unit: unit.notes, digits: 5, value: '02418' }), meter(boards.plays, 'plays', { unit: 2n * unit.coins, digits: 6, value: '058310' })] },
    { tag: electronic, label: boards.electronic, meters: [meter(boards.coins, 'coin', { unit: unit.coins, digits: null, value: '1848230' }), meter(boards.notes, 'note', { unit: unit.notes, digits: null, value: '96412' })] },
  ];
  for (const { tag = '', label, meters } of boardsOf) expectDone(await fitBoard(deps, caller, { machineId: ids.machines.get(tag) ?? '', label, meters, replacedReadings: [] }), `fit the board of ${tag}`);
}

type ReadOut = { readonly deps: Backoffice; readonly operator: DemoOperator; readonly ids: DemoIds; readonly caller: Caller };
type Box = { readonly tag: string; readonly coinMinor: bigint; readonly noteMinor: bigint };

const SHOWN_BEFORE = { coinMinor: 412_350n, noteMinor: 180_500n };
const DIGITS_OF_CENTS = 8;
const inCents = (shown: bigint): string => String(shown).padStart(DIGITS_OF_CENTS, '0');
/** The same as a file of collections says it. */
export const shownBefore = `Coins=${inCents(SHOWN_BEFORE.coinMinor)}|Notes=${inCents(SHOWN_BEFORE.noteMinor)}`;

/** A board that tells what it counted by itself, in a file of audit data. */
export async function fitTellingBoard({ deps, operator, ids, caller }: ReadOut, tag: string): Promise<void> {
  const meter = (label: string, tender: 'coin' | 'note', shown: bigint) => ({ label, tender, digits: DIGITS_OF_CENTS, unitValue: moneyOf(1n, operator.currency), mostPerHour: 20_000, value: inCents(shown) });
  const meters = [meter('Coins', 'coin', SHOWN_BEFORE.coinMinor), meter('Notes', 'note', SHOWN_BEFORE.noteMinor)];
  expectDone(await fitBoard(deps, caller, { machineId: ids.machines.get(tag) ?? '', label: 'Main board', meters, replacedReadings: [] }), `fit the board of ${tag}`);
}

/** The machine was read out at a collection, and its file accepted as the readings of its meters. */
export async function readOut({ deps, operator, ids, caller }: ReadOut, { collectionId, box }: { readonly collectionId: string; readonly box: Box }): Promise<void> {
  const bytes = transmissionOf({ machineTag: box.tag, currency: operator.currency, sinceReset: box, sinceSetUp: { coinMinor: SHOWN_BEFORE.coinMinor + box.coinMinor, noteMinor: SHOWN_BEFORE.noteMinor + box.noteMinor } });
  const staged = expectDone(await stageAuditFile(deps, caller, { collectionId, bytes: inOnePiece(bytes) }), `read out ${box.tag}`);
  expectDone(await acceptAuditFile(deps, caller, { id: staged.id, machineId: ids.machines.get(box.tag) ?? '' }), `accept what ${box.tag} told`);
}

async function* inOnePiece(bytes: Uint8Array): AsyncGenerator<Uint8Array> {
  yield bytes;
}
