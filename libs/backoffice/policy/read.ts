import { formatInstant } from '#contracts/format';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { Policies, Policy, RelaxedRecord, RelaxedRecordQuery } from '#contracts/policy';
import type { TenantTransaction } from '#database/tenant';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { isReviewDue, mayActAlone, relaxedInWords, rulesOf, secondPeople, strictRules } from './policy';
import { selectPolicies, selectPolicyAt, type PolicyRow } from './policy.sql';
import { selectRelaxedRecords, type RelaxedRecordRow } from './relaxed-record.sql';

/** What holds now, and everything that was decided. */
export function readPolicies(deps: Backoffice, caller: Caller): Promise<Outcome<Policies>> {
  return perform<Policies>(deps, caller, 'policy.read', async ({ tx, now }) => done(await showPolicies(tx, now)));
}

/** Records that a rule would have refused, had it not been relaxed, the latest first. */
export function listRelaxedRecords(deps: Backoffice, caller: Caller, query: RelaxedRecordQuery): Promise<Outcome<Page<RelaxedRecord>>> {
  return perform<Page<RelaxedRecord>>(deps, caller, 'policy.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, z.tuple([z.iso.datetime(), z.uuid(), z.string()]));
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectRelaxedRecords(tx, { rule: query.rule ?? null, after, limit: query.limit + 1 });
    return done(toPage({ rows, limit: query.limit, item: toRelaxedRecord, keyOf: (row) => [row.recorded_at.toISOString(), row.record_id, row.rule] }));
  });
}

function toRelaxedRecord(row: RelaxedRecordRow): RelaxedRecord {
  return {
    recordId: row.record_id,
    rule: row.rule,
    kind: row.kind,
    about: row.about,
    collectionId: row.collection_id,
    reviewOn: row.review_on,
    recordedAt: formatInstant(row.recorded_at),
    recordedBy: row.recorded_by,
  };
}

export async function showPolicies(tx: TenantTransaction, now: Date): Promise<Policies> {
  const current = await selectPolicyAt(tx, { at: now, knownAt: now });
  const reviewOn = current?.one_person_review_on ?? null;
  return {
    current: current === null ? { ...strictRules, effectiveFrom: null, relaxed: [], reason: null, recordedAt: null, recordedBy: null } : toPolicy(current),
    onePersonHolds: await mayActAlone(tx, current === null ? strictRules : rulesOf(current)),
    reviewOverdue: reviewOn !== null && (await isReviewDue(tx, { reviewOn, at: now })),
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
