import type { Openers } from '#contracts/key-question';
import { csvTable } from '../csv';

/** One line per reason; then fitting copies that nobody answers for, and cuts of which others hold copies. */
const columns = ['why', 'machine', 'opens', 'person', 'name', 'employed_by', 'person_site', 'every_lock', 'via', 'kept_in', 'kept_in_name', 'copy', 'code', 'lock', 'from', 'to'] as const;

export function openersCsv(answer: Openers): string {
  const common = { machine: answer.machineTag, opens: answer.opens };
  return csvTable({ columns }, [
    ...answer.people.flatMap(({ person, everyLock, reasons }) =>
      reasons.map((reason) => ({
        why: 'key-at-hand',
        ...common,
        person: person.code,
        name: person.name,
        employed_by: person.employedBy,
        person_site: person.siteCode,
        every_lock: everyLock ? 'yes' : 'no',
        via: reason.via,
        kept_in: reason.holder.kind === 'person' ? null : reason.holder.code,
        kept_in_name: reason.holder.kind === 'person' ? null : reason.holder.name,
        copy: reason.number,
        code: reason.code,
        lock: reason.place,
        from: reason.from,
        to: reason.to,
      })),
    ),
    ...answer.loose.map((each) => ({
      why: each.holder === null ? 'missing' : 'no-custodian',
      ...common,
      kept_in: each.holder?.code,
      kept_in_name: each.holder?.name,
      copy: each.number,
      code: each.code,
      lock: each.place,
      from: each.from,
      to: each.to,
    })),
    ...answer.locks
      .filter((lock) => lock.outsideCopies)
      .map((lock) => ({ why: 'outside-copies', ...common, code: lock.code, lock: lock.place, from: lock.fittedAt, to: lock.removedAt })),
  ]);
}
