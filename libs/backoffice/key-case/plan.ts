import { formatInstant } from '#contracts/format';
import type { KeyCase } from '#contracts/key-case';
import type { KeyHolder } from '#contracts/key-whereabouts';
import { toAmount } from '#contracts/money';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import { reachOfCodes } from '../key-question/reach';
import { selectCopies, type CopyRow } from '../key-question/reach.sql';
import { toWhereabouts } from '../key-question/whereabouts.sql';
import { selectLeftOut, type CaseLockRow, type CaseRow, type LostCopyRow, type StepRow } from './read.sql';
import { toPlan } from './to-plan';

type Read = { readonly row: CaseRow; readonly locks: readonly CaseLockRow[]; readonly steps: readonly StepRow[]; readonly lost: readonly LostCopyRow[]; readonly now: Date; readonly caller: Caller };

/** The plan of a case: locks by urgency, copies to give and to call in, what was confirmed. */
export async function readPlan(tx: TenantTransaction, read: Read): Promise<Pick<KeyCase, 'reach' | 'locks' | 'copiesToGive' | 'copiesToCallIn' | 'steps'>> {
  const { row, now, caller } = read;
  const reach = await reachOfCodes({ tx, now }, caller, { at: row.happened_at, knownAt: now, keyCodeIds: [row.key_code_id] });
  // What is in danger by now is more than what was when the loss was noticed, or less: boxes filled since, and were emptied.
  const left = await reachOfCodes({ tx, now }, caller, { at: row.closed_at ?? now, knownAt: now, keyCodeIds: [row.key_code_id] });
  // One moment earlier the lost copies were still with somebody, who needs a new key like everybody else.
  const before = await selectCopies(tx, { at: new Date(row.happened_at.getTime() - 1), knownAt: now, keyCodeIds: [row.key_code_id] });
  const present = await selectCopies(tx, { at: now, knownAt: now, keyCodeIds: [row.key_code_id, ...(row.new_key_code_id === null ? [] : [row.new_key_code_id])] });
  return {
    reach,
    locks: toPlannedLocks(read, new Map(left.machines.map((machine) => [machine.machineId, machine.cash?.amount ?? null]))),
    copiesToGive: toCopiesToGive(row, { before, present }),
    copiesToCallIn: toCopiesToCallIn(read, { before, present, leftOut: new Set(await selectLeftOut(tx, { caseId: row.id, now })) }),
    steps: read.steps.map((step) => ({
      id: step.id,
      kind: step.kind,
      lockId: step.machine_lock_id,
      keyCopyId: step.key_copy_id,
      happenedAt: formatInstant(step.happened_at),
      recordedAt: formatInstant(step.recorded_at),
      recordedBy: step.recorded_by,
      note: step.note,
    })),
  };
}

function toPlannedLocks({ row, locks, steps, now }: Read, cash: ReadonlyMap<string, KeyCase['locks'][number]['cash']>): KeyCase['locks'] {
  const cashMinor = new Map([...cash].flatMap(([machineId, amount]): [string, bigint][] => (amount === null ? [] : [[machineId, toAmount(amount).minor]])));
  const byId = new Map(locks.map((lock) => [lock.lock_id, lock]));
  return toPlan(row, { locks, steps, cashMinor }, now).flatMap((planned) => {
    const lock = byId.get(planned.lockId);
    if (lock === undefined) return [];
    return [
      {
        ...planned,
        dueAt: formatInstant(new Date(planned.dueAt)),
        machineId: lock.machine_id,
        machineTag: lock.machine_tag,
        siteId: lock.site_id,
        siteCode: lock.site_code,
        siteName: lock.site_name,
        place: lock.place,
        opens: lock.opens,
        cash: lock.class === 'cash-box' && planned.state !== 'changed' ? (cash.get(lock.machine_id) ?? null) : null,
        changedAt: lock.removed_at && formatInstant(lock.removed_at),
        changedBy: lock.removal_recorded_by,
      },
    ];
  });
}

type Copies = { readonly before: readonly CopyRow[]; readonly present: readonly CopyRow[] };

/** Stores keep spare copies; who works with the key are people and places. */
function toCopiesToGive(row: CaseRow, { before, present }: Copies): KeyCase['copiesToGive'] {
  const holders = new Map<string, KeyHolder>();
  for (const copy of before) {
    const { holder } = toWhereabouts(copy);
    if (holder !== null && holder.kind !== 'store') holders.set(`${holder.kind} ${holder.id}`, holder);
  }
  return [...holders.values()].map((holder) => {
    const given = present.find((copy) => copy.key_code_id === row.new_key_code_id && copy.holder_kind === holder.kind && copy.holder_id === holder.id);
    return { holder, given: given === undefined ? null : { keyCopyId: given.key_copy_id, number: given.number } };
  });
}

/** What is missing cannot be called in. A copy that is among the present ones no more was destroyed. */
function toCopiesToCallIn({ row, lost }: Read, { before, present, leftOut }: Copies & { readonly leftOut: ReadonlySet<string> }): KeyCase['copiesToCallIn'] {
  const missing = new Set(lost.filter((copy) => copy.missing).map((copy) => copy.key_copy_id));
  const now = new Map(present.filter((copy) => copy.key_code_id === row.key_code_id).map((copy) => [copy.key_copy_id, copy]));
  const all = new Map([...before, ...now.values()].map((copy) => [copy.key_copy_id, copy]));
  return [...all.values()]
    .filter((copy) => !missing.has(copy.key_copy_id))
    .sort((left, right) => (left.number < right.number ? -1 : 1))
    .map((copy) => {
      const here = now.get(copy.key_copy_id);
      return { keyCopyId: copy.key_copy_id, number: copy.number, where: here === undefined ? null : toWhereabouts(here), calledIn: isCalledIn(here), leftOut: leftOut.has(copy.key_copy_id) };
    });
}

/** Back in a store, or destroyed (`undefined`). */
export function isCalledIn(copy: CopyRow | undefined): boolean {
  return copy === undefined || copy.holder_kind === 'store';
}
