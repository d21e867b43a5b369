import type { TenantTransaction } from '#database/tenant';
import { localDate, type LocalDate } from '#domain/calendar/local-date';
import { keptFor, ruleOfKeeping, type RetentionKind, type RuleOfKeeping } from '#domain/retention/kinds';
import { localDay } from '../collection/local-day';
import { presentOperator, type OperatorRow } from '../operator/operator.sql';
import { selectDecisions, selectLastLifted, selectStartOfDay, type DecisionRow } from './retention.sql';

const DAY_MS = 86_400_000;

/** What is known of keeping at one moment: the operator, the day at its place, what was decided, and when a hold was lifted last. */
export type Keeping = { readonly operator: OperatorRow; readonly today: LocalDate; readonly decisions: ReadonlyMap<RetentionKind, DecisionRow>; readonly liftedAt: Date | null };

export async function readKeeping(tx: TenantTransaction, now: Date): Promise<Keeping> {
  const operator = await presentOperator(tx);
  const today = localDay({ instant: now, timeZone: operator.time_zone });
  if (today === null) throw new Error('the operator has no present day');
  return { operator, today, decisions: await selectDecisions(tx), liftedAt: await selectLastLifted(tx) };
}

export function ruleOf(keeping: Keeping, kind: RetentionKind): RuleOfKeeping {
  return ruleOfKeeping(kind, keeping.operator.country);
}

/** Before which instant records of a kind go, as it is decided or as if it were `keep`; null: never. */
export async function goesBefore(tx: TenantTransaction, keeping: Keeping, { kind, now, keep = keeping.decisions.get(kind)?.keep }: { kind: RetentionKind; now: Date; keep?: number | null | undefined }): Promise<Date | null> {
  const rule = ruleOf(keeping, kind);
  const kept = keptFor(rule, keep);
  if (kept === null) return null;
  if (rule.unit === 'days') return new Date(now.getTime() - kept * DAY_MS);
  return selectStartOfDay(tx, { day: firstDayKept({ today: keeping.today, years: kept }), timeZone: keeping.operator.time_zone });
}

/** Whether a night has passed at the operator's place since the last word on a kind, or the end of a hold: before, nothing of it goes. */
export function isNightSince({ operator, today, decisions, liftedAt }: Keeping, kind: RetentionKind): boolean {
  return [decisions.get(kind)?.decided_at ?? null, liftedAt].every((instant) => {
    const day = instant === null ? null : localDay({ instant, timeZone: operator.time_zone });
    return day === null || day < today;
  });
}

/** Of records that are kept for full years after the end of their year. */
export function firstDayKept({ today, years }: { readonly today: LocalDate; readonly years: number }): LocalDate {
  return localDate(`${String(Number(today.slice(0, 4)) - years).padStart(4, '0')}-01-01`);
}
