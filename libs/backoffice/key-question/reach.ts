import { formatInstant } from '#contracts/format';
import type { KeyReach } from '#contracts/key-reach';
import { moneyOf, toAmount } from '#contracts/money';
import type { CurrencyCode } from '#domain/money/currency';
import { cashExposed } from '#domain/keys/exposure';
import { localDate } from '#domain/calendar/local-date';
import type { Caller } from '../caller';
import { sealFor } from '../collection/blind';
import { cashNow, type CashNow } from '../machine-report/cash-now';
import type { Unit } from '../perform';
import type { Moment } from './moment';
import { selectCodes, selectCopies, selectLatelyTaken, selectReachedLocks, type LatelyTakenRow, type ReachedLockRow } from './reach.sql';
import { toWhereabouts } from './whereabouts.sql';

/** A machine with what probably lies in its box; `exposedMinor` is 0 where the keys reach no money or nobody can say. */
type Reached = { machine: KeyReach['machines'][number]; exposedMinor: bigint; currency: CurrencyCode | null; reachesCash: boolean };

/**
 * Everything that keys of these cuts open at a moment as the books knew it at another: locks machine by machine, the cash
 * that lies there by the machine's own report, or else probably (see {@link cashExposed}), and where the copies are. A fixed number of statements,
 * whatever the number of locks and copies. Unknown ids are left out. Nothing is estimated where a collection waits in which
 * the caller has a hand: nobody who counts may know what probably lies in a box (25 CFR 543.17(g)(5)).
 */
export async function reachOfCodes({ tx, now }: Pick<Unit, 'tx' | 'now'>, caller: Caller, query: Moment & { readonly keyCodeIds: readonly string[] }): Promise<KeyReach> {
  const codes = await selectCodes(tx, query.keyCodeIds);
  const locks = await selectReachedLocks(tx, query);
  const toCash = locks.flatMap(({ opens, placement_id: placementId, site_id: siteId }) => (opens === 'play-area' || placementId === null || siteId === null ? [] : [{ placementId, siteId }]));
  const seal = toCash.length === 0 ? null : await sealFor({ tx, now }, caller, { siteIds: [...new Set(toCash.map(({ siteId }) => siteId))], ofBoxesNow: now.getTime() - query.at.getTime() <= FRESH_MS });
  const placementIds = toCash.flatMap(({ placementId, siteId }) => (seal?.sites.includes(siteId) === true ? [] : [placementId]));
  const taken = new Map((await selectLatelyTaken(tx, { ...query, placementIds })).map((row) => [row.placement_id, row]));
  const reported = recent(await cashNow(tx, { placementIds, now: query.at, knownAt: query.knownAt }), query.at);
  const copies = await selectCopies(tx, query);
  const reached = machinesOf(locks, { taken, reported }).sort(mostCashFirst);
  return {
    at: formatInstant(query.at),
    knownAt: formatInstant(query.knownAt),
    codes,
    machines: reached.map(({ machine }) => machine),
    sites: sitesOf(reached),
    cash: sums(reached).map(([currency, minor]) => moneyOf(minor, currency)),
    machinesWithoutEstimate: reached.filter(({ reachesCash, machine }) => reachesCash && machine.siteId !== null && machine.cash === null).length,
    copies: copies.map((copy) => ({ keyCopyId: copy.key_copy_id, number: copy.number, keyCodeId: copy.key_code_id, code: copy.code, where: toWhereabouts(copy) })),
  };
}

/** A machine that fell silent longer ago says too little of its box. */
const FRESH_MS = 2 * 24 * 60 * 60 * 1000;

function recent(reported: ReadonlyMap<string, CashNow>, at: Date): ReadonlyMap<string, CashNow> {
  return new Map([...reported].filter(([, cash]) => at.getTime() - cash.at.getTime() <= FRESH_MS));
}

type Known = { readonly taken: ReadonlyMap<string, LatelyTakenRow>; readonly reported: ReadonlyMap<string, CashNow> };

function machinesOf(locks: readonly ReachedLockRow[], { taken, reported }: Known): Reached[] {
  const byMachine = new Map<string, ReachedLockRow[]>();
  for (const lock of locks) byMachine.set(lock.machine_id, [...(byMachine.get(lock.machine_id) ?? []), lock]);
  return [...byMachine.values()].flatMap((ofMachine) => {
    const [first] = ofMachine;
    if (first === undefined) return [];
    const reachesCash = ofMachine.some(({ opens }) => opens !== 'play-area');
    const lately = reachesCash && first.placement_id !== null ? taken.get(first.placement_id) : undefined;
    const exposed = lately === undefined ? null : cashExposed({ takenMinor: lately.taken_minor, days: lately.days, daysSince: lately.days_since });
    const now = reachesCash && first.placement_id !== null ? reported.get(first.placement_id) : undefined;
    const machine = toMachine(ofMachine, first, { lately, exposed, now });
    return [{ machine, exposedMinor: machine.cash === null ? 0n : toAmount(machine.cash.amount).minor, currency: first.currency, reachesCash }];
  });
}

function toMachine(
  locks: readonly ReachedLockRow[],
  first: ReachedLockRow,
  estimate: { lately: LatelyTakenRow | undefined; exposed: ReturnType<typeof cashExposed>; now: CashNow | undefined },
): Reached['machine'] {
  const { lately, exposed, now } = estimate;
  const minor = now?.minor ?? exposed?.exposedMinor;
  return {
    machineId: first.machine_id,
    machineTag: first.machine_tag,
    siteId: first.site_id,
    siteCode: first.site_code,
    siteName: first.site_name,
    cash:
      lately === undefined || minor === undefined || first.currency === null
        ? null
        : {
            amount: moneyOf(minor, first.currency),
            source: now === undefined ? 'daily-takings' : 'reported',
            reportedAt: now === undefined ? null : formatInstant(now.at),
            perDay: exposed === null ? null : moneyOf(exposed.perDayMinor, first.currency),
            daysSince: Math.max(lately.days_since, 0),
            lastCollectedOn: localDate(lately.last_collected_on),
          },
    locks: locks.map((lock) => ({ lockId: lock.lock_id, place: lock.place, opens: lock.opens, keyCodeId: lock.key_code_id, code: lock.code, fittedAt: formatInstant(lock.fitted_at) })),
  };
}

function mostCashFirst(left: Reached, right: Reached): number {
  if (left.exposedMinor !== right.exposedMinor) return left.exposedMinor > right.exposedMinor ? -1 : 1;
  return left.machine.machineTag < right.machine.machineTag ? -1 : 1;
}

function sitesOf(reached: readonly Reached[]): KeyReach['sites'] {
  const bySite = new Map<string, { site: Omit<KeyReach['sites'][number], 'cash'>; minor: bigint; currency: CurrencyCode }>();
  for (const { machine, exposedMinor, currency } of reached) {
    const { siteId, siteCode, siteName } = machine;
    if (siteId === null || siteCode === null || siteName === null || currency === null) continue;
    const before = bySite.get(siteId);
    bySite.set(siteId, {
      site: { siteId, siteCode, siteName, machines: (before?.site.machines ?? 0) + 1 },
      minor: (before?.minor ?? 0n) + exposedMinor,
      currency,
    });
  }
  return [...bySite.values()]
    .sort((left, right) => (left.minor !== right.minor ? (left.minor > right.minor ? -1 : 1) : left.site.siteCode < right.site.siteCode ? -1 : 1))
    .map(({ site, minor, currency }) => ({ ...site, cash: moneyOf(minor, currency) }));
}

function sums(reached: readonly Reached[]): [CurrencyCode, bigint][] {
  const byCurrency = new Map<CurrencyCode, bigint>();
  for (const { currency, exposedMinor, reachesCash } of reached) {
    if (currency !== null && reachesCash) byCurrency.set(currency, (byCurrency.get(currency) ?? 0n) + exposedMinor);
  }
  return [...byCurrency].sort(([left], [right]) => (left < right ? -1 : 1));
}
