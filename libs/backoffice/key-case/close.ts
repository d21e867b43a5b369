import type { CloseKeyCase, KeyCase } from '#contracts/key-case';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { announce } from '../webhook/announce.sql';
import { updateCaseState } from './close.sql';
import { selectCopies } from '../key-question/reach.sql';
import { lockCut } from './open.sql';
import { isCalledIn } from './plan';
import { readCase } from './read';
import { selectCase, selectCaseLocks, selectLeftOut, selectLostCopies, type CaseLockRow, type CaseRow } from './read.sql';

type Command = CloseKeyCase & { readonly id: string };
const MOST_NAMED = 20;

/**
 * Closes a case once no lock takes the old cut, and each old copy is back, destroyed or missing, or somebody said why it stays
 * out: an old key in a drawer is fitted again some day. What stands in the way is told by name.
 */
export async function closeKeyCase(deps: Backoffice, caller: Caller, command: Command): Promise<Outcome<KeyCase>> {
  return perform(
    deps,
    caller,
    'key-case.close',
    async ({ tx, now }) => {
      const row = await holdOpenCase(tx, command.id);
      if (!row.ok) return row;
      const open = (await selectCaseLocks(tx, { caseIds: [command.id], now })).filter(({ removed_at: removedAt }) => removedAt === null || removedAt > now);
      if (open.length > 0) return refused('locks-not-changed', { detail: `${open.length === 1 ? 'One lock still takes' : `${open.length} locks still take`} ${row.value.code}: ${namesOf(open)}.` });
      const out = await copiesOut(tx, { row: row.value, now });
      if (out.length > 0) return refused('copies-not-called-in', { detail: `Still out, and nobody said why: ${out.join(', ')}.` });
      await announce(tx, { type: 'key_case.closed', told: [{ subjectId: command.id }], now });
      await updateCaseState(tx, { id: command.id, state: 'closed', at: latest(now, row.value.opened_at), reason: command.reason });
      return done(await readCase(tx, { id: command.id, now, caller }));
    },
    { constraints: { key_case_no_lock_takes_the_cut: { code: 'locks-not-changed' } } },
  );
}

/** The owner ends a case whose keys were all found. They may have been copied meanwhile, so this takes a reason. */
export async function endKeyCase(deps: Backoffice, caller: Caller, command: Command): Promise<Outcome<KeyCase>> {
  return perform(
    deps,
    caller,
    'key-case.end',
    async ({ tx, now }) => {
      const row = await holdOpenCase(tx, command.id);
      if (!row.ok) return row;
      const missing = (await selectLostCopies(tx, [command.id])).filter((copy) => copy.missing);
      if (missing.length > 0) return refused('wrong-state', { detail: `Still missing: ${[...new Set(missing.map(({ number }) => number))].join(', ')}. Record first that it was found, or change the locks.` });
      await announce(tx, { type: 'key_case.closed', told: [{ subjectId: command.id }], now });
      await updateCaseState(tx, { id: command.id, state: 'ended', at: latest(now, row.value.opened_at), reason: command.reason });
      return done(await readCase(tx, { id: command.id, now, caller }));
    },
    { constraints: { key_case_ended_with_every_key_found: { code: 'changed-meanwhile' } } },
  );
}

/** Numbers of old copies that somebody still has, and of which nobody said why they do. A missing one cannot be called in. */
async function copiesOut(tx: TenantTransaction, { row, now }: { row: CaseRow; now: Date }): Promise<string[]> {
  const explained = new Set(await selectLeftOut(tx, { caseId: row.id, now }));
  const copies = await selectCopies(tx, { at: now, knownAt: now, keyCodeIds: [row.key_code_id] });
  return copies.filter((copy) => copy.state === 'held' && !isCalledIn(copy) && !explained.has(copy.key_copy_id)).map(({ number }) => number);
}

/** An open case with the row of its cut held, so that nobody else opens, confirms or closes meanwhile. */
export async function holdOpenCase(tx: TenantTransaction, id: string): Promise<Outcome<CaseRow>> {
  const seen = await selectCase(tx, id);
  if (seen === null) return refused('not-found');
  await lockCut(tx, seen.key_code_id);
  const row = await selectCase(tx, id);
  if (row === null) return refused('not-found');
  return row.state === 'open' ? done(row) : refused('wrong-state', { detail: `The case is ${row.state}.` });
}

function namesOf(locks: readonly CaseLockRow[]): string {
  const named = locks.slice(0, MOST_NAMED).map((lock) => `${lock.machine_tag} (${lock.place})${lock.site_code === null ? '' : ` at ${lock.site_code}`}`);
  return locks.length > MOST_NAMED ? `${named.join(', ')} and ${locks.length - MOST_NAMED} more` : named.join(', ');
}

/** The books may have known of the loss a moment later than a clock that was put back says. */
function latest(left: Date, right: Date): Date {
  return left > right ? left : right;
}
