import type { KeyReach } from '#contracts/key-reach';
import { csvTable } from '../csv';

/** One line per lock that the keys fit, and one per copy. Cash stands with the first lock of a machine, so that a column adds up. */
const columns = ['what', 'code', 'outside_copies', 'site', 'site_name', 'machine', 'lock', 'opens', 'last_collected', 'days_since', 'currency', 'cash', 'cash_from', 'copy', 'state', 'with', 'with_name', 'since'] as const;

export function reachCsv(reach: KeyReach): string {
  const outside = new Map(reach.codes.map(({ keyCodeId, outsideCopies }) => [keyCodeId, outsideCopies ? 'yes' : 'no']));
  return csvTable({ columns, numbers: ['days_since', 'cash'] }, [
    ...reach.machines.flatMap((machine) =>
      machine.locks.map((lock, index) => {
        const cash = index === 0 ? machine.cash : null;
        return {
          what: 'lock',
          code: lock.code,
          outside_copies: outside.get(lock.keyCodeId),
          site: machine.siteCode,
          site_name: machine.siteName,
          machine: machine.machineTag,
          lock: lock.place,
          opens: lock.opens,
          last_collected: cash?.lastCollectedOn,
          days_since: cash?.daysSince,
          currency: cash?.amount.currency,
          cash: cash?.amount.amount,
          cash_from: cash?.source,
        };
      }),
    ),
    ...reach.copies.map(({ number, code, keyCodeId, where }) => ({
      what: 'copy',
      code,
      outside_copies: outside.get(keyCodeId),
      copy: number,
      state: where.state,
      with: where.holder?.code,
      with_name: where.holder?.name,
      since: where.since,
    })),
  ]);
}
