import { formatInstant } from '#contracts/format';
import { done, type Outcome } from '#contracts/outcome';
import type { Retention, RetentionHold, RetentionPreview, RetentionPreviewQuery, RetentionRun } from '#contracts/retention';
import type { TenantTransaction } from '#database/tenant';
import { keptFor, retentionKinds } from '#domain/retention/kinds';
import { lawOfKeeping } from '#domain/retention/law';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { goesBefore, readKeeping, ruleOf } from './keeping';
import { countRemovable, isHeld, selectHolds, selectRuns, type HoldRow, type RunRow } from './retention.sql';

/** For how long each kind of record is kept, what stops removing, and what was removed. */
export function readRetention(deps: Backoffice, caller: Caller): Promise<Outcome<Retention>> {
  return perform(deps, caller, 'retention.read', async ({ tx, now }) => done(await showRetention(tx, now)));
}

const SHOWN_RUNS = 100;

export async function showRetention(tx: TenantTransaction, now: Date): Promise<Retention> {
  const keeping = await readKeeping(tx, now);
  const { country } = keeping.operator;
  return {
    country,
    isLawKnown: lawOfKeeping(country).isKnown,
    rules: retentionKinds.map((kind) => {
      const rule = ruleOf(keeping, kind);
      const { unit, usual, least, law, isYearAdded, source } = rule;
      const decided = keeping.decisions.get(kind);
      return {
        kind,
        unit,
        keep: keptFor(rule, decided?.keep),
        usual,
        least,
        law,
        isYearAdded,
        source,
        decided: decided === undefined ? null : { reason: decided.reason, at: formatInstant(decided.decided_at), by: decided.decided_by },
      };
    }),
    holds: (await selectHolds(tx)).map(toHold),
    runs: (await selectRuns(tx, { limit: SHOWN_RUNS })).map(toRun),
  };
}

/** What would go if it were night now, by the very rule by which it goes. What was decided today, or was held until today, does not go before. */
export function previewRetention(deps: Backoffice, caller: Caller, query: RetentionPreviewQuery): Promise<Outcome<RetentionPreview>> {
  return perform<RetentionPreview>(deps, caller, 'retention.read', async ({ tx, now }) => {
    const keeping = await readKeeping(tx, now);
    const items: RetentionPreview['items'] = [];
    for (const kind of retentionKinds.filter((each) => query.kind === undefined || each === query.kind)) {
      const before = await goesBefore(tx, keeping, { kind, now, ...(query.keep === undefined ? {} : { keep: query.keep }) });
      const found = before === null ? { records: 0, oldest: null } : await countRemovable(tx, { kind, before });
      items.push({ kind, before: before && formatInstant(before), records: found.records, oldest: found.oldest && formatInstant(found.oldest) });
    }
    return done({ items, isHeld: await isHeld(tx) });
  });
}

function toHold(row: HoldRow): RetentionHold {
  const { lifted_at: at, lifted_by: by, lifted_reason: reason } = row;
  return {
    id: row.id,
    reason: row.reason,
    placedAt: formatInstant(row.placed_at),
    placedBy: row.placed_by,
    lifted: at === null || by === null || reason === null ? null : { at: formatInstant(at), by, reason },
  };
}

function toRun(row: RunRow): RetentionRun {
  return { kind: row.kind, day: row.local_date, before: formatInstant(row.before), removed: Number(row.removed), endedAt: row.ended_at && formatInstant(row.ended_at) };
}
