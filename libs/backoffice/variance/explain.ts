import { done, refused, type Outcome } from '#contracts/outcome';
import type { ExplainVarianceFlag, VarianceFlagDetail } from '#contracts/variance';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import { refusedWhileSealed } from '../collection/blind';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { mayActAlone, personBehind, policyAt } from '../policy/policy';
import { labelRelaxed } from '../policy/policy.sql';
import { insertFlagEvents, lockFlag, markExplained, selectFlag, selectHands, type FlagRow } from './flag.sql';
import { showFlag } from './read-flag';

/**
 * Closes a flag with its cause and what shows it, by somebody who neither collected nor counted; in a business of one by
 * that one, and labelled.
 */
export async function explainFlag(deps: Backoffice, caller: Caller, command: { readonly id: string } & ExplainVarianceFlag): Promise<Outcome<VarianceFlagDetail>> {
  return perform(deps, caller, 'variance.explain', async (unit) => {
    const { tx, now, refusal } = unit;
    await lockFlag(tx, command.id);
    const row = await selectFlag(tx, command.id);
    if (row === null) return refused('not-found');
    const refusedHere = refusal({ state: row.state, siteId: row.site_id }) ?? (await refusedWhileSealed(unit, caller, [row.site_id]));
    if (refusedHere !== null) return refusedHere;
    if (row.state !== 'open') return refused('wrong-state', { detail: 'It is explained.' });
    const alone = await explainsAlone(tx, { row, caller, now });
    if (!alone.ok) return alone;
    if (!(await markExplained(tx, row.id))) return refused('changed-meanwhile');
    await insertFlagEvents(tx, [{ id: deps.newId(), flagId: row.id, kind: 'explained', reasons: [], figures: row.figures, cause: command.cause, evidence: command.evidence }], now);
    if (alone.value) await labelRelaxed(tx, { recordId: row.id, rule: 'second-person', kind: 'variance-flag', now });
    const explained = await selectFlag(tx, row.id);
    if (explained === null) throw new Error(`flag ${row.id} is gone`);
    return done(await showFlag(tx, explained, now));
  });
}

async function explainsAlone(tx: TenantTransaction, { row, caller, now }: { row: FlagRow; caller: Caller; now: Date }): Promise<Outcome<boolean>> {
  const { actors, personIds } = await selectHands(tx, { collectionId: row.collection_id, placementId: row.placement_id });
  const own = caller.kind === 'user' && caller.personId !== null && personIds.includes(caller.personId);
  const behind = await Promise.all(actors.map((actor) => personBehind(tx, actor)));
  if (!own && !behind.includes(await personBehind(tx, tx.actor))) return done(false);
  return (await mayActAlone(tx, await policyAt(tx, now))) ? done(true) : refused('second-person-needed', { detail: 'You collected or counted this box: somebody else explains the difference.' });
}
