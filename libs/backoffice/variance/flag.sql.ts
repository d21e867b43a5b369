import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import type { NotCompared, Tender } from '#domain/variance/compare';
import type { Signal } from '#domain/variance/series';
import { madeAlone } from '../policy/policy.sql';
import { comparedTogether } from './together.sql';

export type FlagReason = 'tolerance' | 'meters-implausible' | 'meters-not-read' | 'counters-apart' | 'round-unseen' | Signal;

/** Amounts by tender as a flag's history keeps them: minor units as text. */
export type FlagFigure = { readonly tender: Tender; readonly expectedMinor: string | null; readonly countedMinor: string; readonly unknown?: readonly NotCompared[] };

export type HeldFlag = { id: string; collection_id: string; placement_id: string; state: 'open' | 'explained' };

/** Held: an explanation that is being written waits, so that a new reason does not get into a flag as it is closed. */
export async function holdFlags(tx: TenantTransaction, collectionIds: readonly string[]): Promise<HeldFlag[]> {
  const { rows } = await tx.sql<HeldFlag>(
    `SELECT id, collection_id, placement_id, state FROM variance_flag WHERE tenant_id = $1 AND collection_id = ANY ($2::uuid[]) ORDER BY id FOR NO KEY UPDATE`,
    [tx.tenantId, collectionIds],
  );
  return rows;
}

/** The amounts that stand, by box. */
export async function selectFigures(tx: TenantTransaction, collectionIds: readonly string[]): Promise<Map<string, FlagFigure[]>> {
  const { rows } = await tx.sql<{ collection_id: string; placement_id: string; figures: FlagFigure[] }>(
    `SELECT collection_id, placement_id,
            jsonb_agg(jsonb_build_object('tender', tender, 'expectedMinor', expected_minor::text, 'countedMinor', counted_minor::text, 'unknown', unknown) ORDER BY tender) AS figures
       FROM cash_variance WHERE tenant_id = $1 AND collection_id = ANY ($2::uuid[]) AND stands GROUP BY collection_id, placement_id`,
    [tx.tenantId, collectionIds],
  );
  return new Map(rows.map((row) => [`${row.collection_id} ${row.placement_id}`, row.figures]));
}

export async function insertFlags(tx: TenantTransaction, flags: readonly { readonly flagId: string; readonly collectionId: string; readonly placementId: string }[], now: Date): Promise<void> {
  await tx.sql(
    `INSERT INTO variance_flag (tenant_id, id, collection_id, site_id, placement_id, machine_id, currency, accounting_date, state, raised_at)
     SELECT $1, n.id, c.id, c.site_id, p.id, p.machine_id, c.currency, c.accounting_date, 'open', $2
       FROM unnest($3::uuid[], $4::uuid[], $5::uuid[]) AS n (id, collection_id, placement_id)
       JOIN collection c ON c.tenant_id = $1 AND c.id = n.collection_id
       JOIN placement p ON p.tenant_id = $1 AND p.id = n.placement_id`,
    [tx.tenantId, now, flags.map(({ flagId }) => flagId), flags.map(({ collectionId }) => collectionId), flags.map(({ placementId }) => placementId)],
  );
}

export type NewFlagEvent = {
  readonly id: string;
  readonly flagId: string;
  readonly kind: 'raised' | 'explained' | 'changed';
  readonly reasons: readonly FlagReason[];
  readonly figures: readonly FlagFigure[];
  readonly cause: string | null;
  readonly evidence: string | null;
};

export async function insertFlagEvents(tx: TenantTransaction, events: readonly NewFlagEvent[], now: Date): Promise<void> {
  await tx.sql(
    `INSERT INTO variance_flag_event (tenant_id, id, flag_id, kind, reasons, figures, cause, evidence, happened_at, happened_by)
     SELECT $1, n.id, n.flag_id, n.kind, string_to_array(n.reasons, ' '), n.figures, n.cause, n.evidence, $2, $3
       FROM unnest($4::uuid[], $5::uuid[], $6::text[], $7::text[], $8::jsonb[], $9::text[], $10::text[]) AS n (id, flag_id, kind, reasons, figures, cause, evidence)`,
    [
      tx.tenantId,
      now,
      tx.actor,
      events.map(({ id }) => id),
      events.map(({ flagId }) => flagId),
      events.map(({ kind }) => kind),
      events.map(({ reasons }) => reasons.join(' ')),
      events.map(({ figures }) => JSON.stringify(figures)),
      events.map(({ cause }) => cause),
      events.map(({ evidence }) => evidence),
    ],
  );
}

export type FlagRow = {
  id: string;
  collection_id: string;
  site_id: string;
  site_code: string;
  placement_id: string;
  machine_id: string;
  machine_tag: string;
  currency: CurrencyCode;
  local_date: LocalDate;
  accounting_date: LocalDate;
  state: 'open' | 'explained';
  raised_at: Date;
  reasons: FlagReason[];
  figures: FlagFigure[];
  made_alone: boolean;
};

const flagRows = (source: string): string => `
  SELECT f.id, f.collection_id, f.site_id, s.code AS site_code, f.placement_id, f.machine_id, m.tag AS machine_tag, f.currency, c.local_date, f.accounting_date,
         f.state, f.raised_at, why.reasons, coalesce(amounts.figures, '[]') AS figures, ${madeAlone('f')}
    FROM ${source} f
    JOIN collection c ON c.tenant_id = f.tenant_id AND c.id = f.collection_id
    JOIN site s ON s.tenant_id = f.tenant_id AND s.id = f.site_id
    JOIN machine m ON m.tenant_id = f.tenant_id AND m.id = f.machine_id
    CROSS JOIN LATERAL (
      SELECT array_agg(DISTINCT reason ORDER BY reason) AS reasons FROM variance_flag_event e, unnest(e.reasons) AS reason WHERE e.tenant_id = f.tenant_id AND e.flag_id = f.id) why
    CROSS JOIN LATERAL (
      SELECT jsonb_agg(jsonb_build_object('tender', v.tender, 'expectedMinor', v.expected_minor::text, 'countedMinor', v.counted_minor::text, 'unknown', v.unknown) ORDER BY v.tender) AS figures
        FROM cash_variance v WHERE v.tenant_id = f.tenant_id AND v.collection_id = f.collection_id AND v.placement_id = f.placement_id AND v.stands) amounts`;

export async function selectFlag(tx: TenantTransaction, id: string): Promise<FlagRow | null> {
  return (await tx.sql<FlagRow>(`${flagRows('variance_flag')} WHERE f.tenant_id = $1 AND f.id = $2`, [tx.tenantId, id])).rows[0] ?? null;
}

export type FlagKey = readonly [state: 'open' | 'explained', accountingDate: string, id: string];
export type FlagFilter = {
  readonly from: string | null;
  readonly before: string | null;
  readonly siteId: string | null;
  readonly machineId: string | null;
  readonly collectorId: string | null;
  readonly state: 'open' | 'explained' | null;
  readonly notSites: readonly string[];
  readonly after: FlagKey | null;
  readonly limit: number;
};

/** Flags, open ones first, then by the day to which they are booked. The page is cut before anything is joined. */
export async function selectFlags(tx: TenantTransaction, list: FlagFilter): Promise<FlagRow[]> {
  const [state, day, id] = list.after ?? [null, null, null];
  const { rows } = await tx.sql<FlagRow>(
    `${flagRows(`(
        SELECT * FROM variance_flag own
         WHERE tenant_id = $1 AND ($2::date IS NULL OR accounting_date >= $2) AND ($3::date IS NULL OR accounting_date < $3) AND ($4::uuid IS NULL OR site_id = $4) AND site_id <> ALL ($5::uuid[])
           AND ($7::uuid IS NULL OR machine_id = $7)
           AND ($12::uuid IS NULL OR EXISTS (SELECT FROM collection flagged CROSS JOIN LATERAL (${comparedTogether({ collection: 'flagged', placementId: 'own.placement_id' })}) part JOIN collection c ON c.tenant_id = $1 AND c.id = part.id AND c.collected_by = $12
                                                WHERE flagged.tenant_id = $1 AND flagged.id = own.collection_id)) AND ($8::text IS NULL OR state = $8)
           AND ($9::text IS NULL OR state < $9 OR (state = $9 AND (accounting_date, id) > ($10::date, $11::uuid)))
         ORDER BY state DESC, accounting_date, id LIMIT $6)`)}
      ORDER BY f.state DESC, f.accounting_date, f.id`,
    [tx.tenantId, list.from, list.before, list.siteId, list.notSites, list.limit, list.machineId, list.state, state, day, id, list.collectorId],
  );
  return rows;
}

export type FlagEventRow = { kind: 'raised' | 'explained' | 'changed'; reasons: FlagReason[]; figures: FlagFigure[]; cause: string | null; evidence: string | null; happened_at: Date; happened_by: string };

export async function selectFlagEvents(tx: TenantTransaction, flagId: string): Promise<FlagEventRow[]> {
  const { rows } = await tx.sql<FlagEventRow>(
    'SELECT kind, reasons, figures, cause, evidence, happened_at, happened_by FROM variance_flag_event WHERE tenant_id = $1 AND flag_id = $2 ORDER BY happened_at, id',
    [tx.tenantId, flagId],
  );
  return rows;
}

/**
 * Who had a hand in the counts of a flag, one or all that are compared together: who entered the collections, their counts and field counts, and the people who collected and
 * counted. A file is sent in by somebody who did neither.
 */
export async function selectHands(tx: TenantTransaction, flag: { readonly collectionId: string; readonly placementId: string }): Promise<{ actors: string[]; personIds: string[] }> {
  const { rows } = await tx.sql<{ actor: string | null; person_id: string | null }>(
    `WITH counted AS (
       SELECT c.id, c.recorded_by, c.import_file_id, c.collected_by FROM collection flagged CROSS JOIN LATERAL (${comparedTogether({ collection: 'flagged', placementId: '$3::uuid' })}) part JOIN collection c ON c.tenant_id = $1 AND c.id = part.id
        WHERE flagged.tenant_id = $1 AND flagged.id = $2)
     SELECT c.recorded_by AS actor, NULL::uuid AS person_id FROM counted c WHERE c.import_file_id IS NULL
      UNION SELECT b.recorded_by, NULL FROM counted c JOIN box_count b ON b.tenant_id = $1 AND b.collection_id = c.id AND b.placement_id = $3 WHERE c.import_file_id IS NULL OR b.replaces_id IS NOT NULL
      UNION SELECT w.recorded_by, w.counted_by FROM counted c JOIN field_count w ON w.tenant_id = $1 AND w.collection_id = c.id AND w.placement_id = $3
      UNION SELECT NULL, c.collected_by FROM counted c
      UNION SELECT NULL, n.person_id FROM counted c JOIN collection_key_holder n ON n.tenant_id = $1 AND n.collection_id = c.id`,
    [tx.tenantId, flag.collectionId, flag.placementId],
  );
  return { actors: [...new Set(rows.flatMap(({ actor }) => actor ?? []))], personIds: [...new Set(rows.flatMap(({ person_id: personId }) => personId ?? []))] };
}

/** Held while it is looked at and explained: what is found meanwhile comes before or after, not in between. */
export async function lockFlag(tx: TenantTransaction, id: string): Promise<void> {
  await tx.sql('SELECT FROM variance_flag WHERE tenant_id = $1 AND id = $2 FOR NO KEY UPDATE', [tx.tenantId, id]);
}

/** Takes a flag for oneself; false where somebody else explained it meanwhile. */
export async function markExplained(tx: TenantTransaction, id: string): Promise<boolean> {
  const { rows } = await tx.sql(`UPDATE variance_flag SET state = 'explained' WHERE tenant_id = $1 AND id = $2 AND state = 'open' RETURNING id`, [tx.tenantId, id]);
  return rows.length === 1;
}
