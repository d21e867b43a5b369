import { formatInstant } from '#contracts/format';
import type { KeyReach } from '#contracts/key-reach';
import { moneyOf } from '#contracts/money';
import type { TenantTransaction } from '#database/tenant';
import type { CurrencyCode } from '#domain/money/currency';
import { cashExposed } from '#domain/keys/exposure';
import { localDate } from '#domain/calendar/local-date';
import type { Moment } from './moment';
import { selectCodes, selectCopies, selectLatelyTaken, selectReachedLocks, type LatelyTakenRow, type ReachedLockRow } from './reach.sql';
import { toWhereabouts } from './whereabouts.sql';

/** A machine with what probably lies in its box; `exposedMinor` is 0 where the keys reach no money or nobody can say. */
type Reached = { machine: KeyReach['machines'][number]; exposedMinor: bigint; currency: CurrencyCode | null; reachesCash: boolean };

/**
 * Everything that keys of these cuts open at a moment as the books knew it at another: locks machine by machine, the cash
 * that probably lies there (see {@link cashExposed}), and where the copies are. Four statements, whatever the number of
 * locks and copies. Unknown ids are left out.
 */
export async function reachOfCodes(tx: TenantTransaction, query: Moment & { readonly keyCodeIds: readonly string[] }): Promise<KeyReach> {
  const codes = await selectCodes(tx, query.keyCodeIds);
  const locks = await selectReachedLocks(tx, query);
  const placementIds = locks.flatMap((lock) => (lock.opens === 'play-area' ? [] : (lock.placement_id ?? [])));
  const taken = new Map((await selectLatelyTaken(tx, { ...query, placementIds })).map((row) => [row.placement_id, row]));
  const copies = await selectCopies(tx, query);
  const reached = machinesOf(locks, taken).sort(mostCashFirst);
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

function machinesOf(locks: readonly ReachedLockRow[], taken: ReadonlyMap<string, LatelyTakenRow>): Reached[] {
  const byMachine = new Map<string, ReachedLockRow[]>();
  for (const lock of locks) byMachine.set(lock.machine_id, [...(byMachine.get(lock.machine_id) ?? []), lock]);
  return [...byMachine.values()].flatMap((ofMachine) => {
    const [first] = ofMachine;
    if (first === undefined) return [];
    const reachesCash = ofMachine.some(({ opens }) => opens !== 'play-area');
    const lately = reachesCash && first.placement_id !== null ? taken.get(first.placement_id) : undefined;
    const exposed = lately === undefined ? null : cashExposed({ takenMinor: lately.taken_minor, days: lately.days, daysSince: lately.days_since });
    return [{ machine: toMachine(ofMachine, first, { lately, exposed }), exposedMinor: exposed?.exposedMinor ?? 0n, currency: first.currency, reachesCash }];
  });
}

function toMachine(
  locks: readonly ReachedLockRow[],
  first: ReachedLockRow,
  estimate: { lately: LatelyTakenRow | undefined; exposed: ReturnType<typeof cashExposed> },
): Reached['machine'] {
  const { lately, exposed } = estimate;
  return {
    machineId: first.machine_id,
    machineTag: first.machine_tag,
    siteId: first.site_id,
    siteCode: first.site_code,
    siteName: first.site_name,
    cash:
      lately === undefined || exposed === null || first.currency === null
        ? null
        : {
            amount: moneyOf(exposed.exposedMinor, first.currency),
            perDay: moneyOf(exposed.perDayMinor, first.currency),
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
