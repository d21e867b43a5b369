import type { CopyReach, KeyReach } from '#contracts/key-reach';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { MomentQuery } from '#contracts/key-question';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { momentOf } from './moment';
import { reachOfCodes } from './reach';
import { reachCsv } from './reach-csv';
import { selectCopyAt, selectKeyCodeId } from './if-lost.sql';
import { toWhereabouts } from './whereabouts.sql';

/** What would follow if this copy were lost: what it opens, the cash there, who else has one. Nothing is reported by asking. */
export async function ifCopyWereLost(deps: Backoffice, caller: Caller, query: MomentQuery & { readonly id: string }): Promise<Outcome<CopyReach>> {
  return perform(deps, caller, 'key-reach.read', async ({ tx, now }) => {
    const moment = momentOf(query, now);
    const copy = await selectCopyAt(tx, { ...moment, id: query.id });
    if (copy === null) return refused('not-found');
    const reach = await reachOfCodes({ tx, now }, caller, { ...moment, keyCodeIds: [copy.key_code_id] });
    return done({
      keyCopyId: copy.id,
      number: copy.number,
      where: copy.since === null ? null : toWhereabouts({ ...copy, since: copy.since }),
      reach: { ...reach, copies: reach.copies.filter(({ keyCopyId }) => keyCopyId !== copy.id) },
    });
  });
}

/** The same as CSV: machines that it opens, and the other copies. */
export async function exportIfCopyWereLost(deps: Backoffice, caller: Caller, query: MomentQuery & { readonly id: string }): Promise<Outcome<{ bytes: Buffer; fileName: string }>> {
  const asked = await ifCopyWereLost(deps, caller, query);
  if (!asked.ok) return asked;
  return done({ bytes: Buffer.from(reachCsv(asked.value.reach)), fileName: `if-${asked.value.number.toLowerCase()}-were-lost.csv` });
}

/** The same for a cut that somebody outside may have copied. */
export async function ifCodeWereLost(deps: Backoffice, caller: Caller, query: MomentQuery & { readonly id: string }): Promise<Outcome<KeyReach>> {
  return perform(deps, caller, 'key-reach.read', async ({ tx, now }) => {
    const known = await selectKeyCodeId(tx, query.id);
    return known === null ? refused('not-found') : done(await reachOfCodes({ tx, now }, caller, { ...momentOf(query, now), keyCodeIds: [known] }));
  });
}
