import { formatInstant } from '#contracts/format';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { MadeAlone, MadeAloneQuery, Policies, Policy } from '#contracts/policy';
import type { TenantTransaction } from '#database/tenant';
import { z } from 'zod';
import type { Caller } from '../caller';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { selectOperator } from '../operator/operator.sql';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { mayActAlone, relaxedInWords, rulesOf, secondPeople, strictRules } from './policy';
import { selectMadeAlone, selectPolicies, selectPolicyAt, type PolicyRow } from './policy.sql';

/** What holds now, and everything that was decided. */
export function readPolicies(deps: Backoffice, caller: Caller): Promise<Outcome<Policies>> {
  return perform<Policies>(deps, caller, 'policy.read', async ({ tx, now }) => done(await showPolicies(tx, now)));
}

/** Records that one person made alone, the latest first. */
export function listMadeAlone(deps: Backoffice, caller: Caller, query: MadeAloneQuery): Promise<Outcome<Page<MadeAlone>>> {
  return perform<Page<MadeAlone>>(deps, caller, 'policy.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, z.tuple([z.iso.datetime(), z.uuid()]));
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectMadeAlone(tx, { after, limit: query.limit + 1 });
    const item = (row: (typeof rows)[number]): MadeAlone => ({ recordId: row.record_id, kind: row.kind, recordedAt: formatInstant(row.recorded_at), recordedBy: row.recorded_by });
    return done(toPage({ rows, limit: query.limit, item, keyOf: (row) => [row.recorded_at.toISOString(), row.record_id] }));
  });
}

export async function showPolicies(tx: TenantTransaction, now: Date): Promise<Policies> {
  const current = await selectPolicyAt(tx, now);
  const operator = await selectOperator(tx);
  const today = operator === null ? null : localDay({ instant: now, timeZone: operator.time_zone });
  const reviewOn = current?.one_person_review_on ?? null;
  return {
    current: current === null ? { ...strictRules, effectiveFrom: null, relaxed: [], reason: null, recordedAt: null, recordedBy: null } : toPolicy(current),
    onePersonHolds: await mayActAlone(tx, now),
    reviewOverdue: reviewOn !== null && today !== null && reviewOn <= today,
    secondPeople: (await secondPeople(tx)).map(({ name }) => name),
    decided: (await selectPolicies(tx)).map(toPolicy),
  };
}

function toPolicy(row: PolicyRow): Policy {
  const rules = rulesOf(row);
  return {
    ...rules,
    effectiveFrom: formatInstant(row.effective_from),
    relaxed: relaxedInWords(rules),
    reason: row.reason,
    recordedAt: formatInstant(row.recorded_at),
    recordedBy: row.recorded_by,
  };
}
