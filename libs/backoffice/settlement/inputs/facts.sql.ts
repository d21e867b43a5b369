import type { TenantTransaction } from '#database/tenant';
import type { TokenPieces } from '../../collection/box-contents';

/** One period of one site whose facts are wanted. Facts come back with the window's place in the list given, from 1. */
export type Window = { readonly siteId: string; readonly from: string; readonly before: string };

export type VersionRow = {
  readonly id: string;
  readonly agreement_id: string;
  readonly effective_from: string;
  readonly terms: unknown;
};

/** Versions that stand (not withdrawn), by start date. */
export async function readVersions(tx: TenantTransaction, agreementIds: readonly string[]): Promise<VersionRow[]> {
  const { rows } = await tx.sql<VersionRow>(
    `SELECT id, agreement_id, effective_from, terms FROM agreement_version
      WHERE tenant_id = $1 AND agreement_id = ANY ($2::uuid[]) AND withdrawn_at IS NULL
      ORDER BY agreement_id, effective_from`,
    [tx.tenantId, agreementIds],
  );
  return rows;
}

export type TaxRuleRow = {
  readonly id: string;
  readonly tax_area_id: string;
  readonly code: string;
  readonly valid_from: string;
  readonly valid_to: string | null;
  readonly document: unknown;
  readonly source: string;
};

/** Rules of these areas that are in force on some day of the range. */
export async function readTaxRules(
  tx: TenantTransaction,
  query: { taxAreaIds: readonly string[]; from: string; before: string },
): Promise<TaxRuleRow[]> {
  const { rows } = await tx.sql<TaxRuleRow>(
    `SELECT id, tax_area_id, code, valid_from, valid_to, document, source FROM tax_rule
      WHERE tenant_id = $1 AND tax_area_id = ANY ($2::uuid[]) AND valid_from < $4 AND (valid_to IS NULL OR valid_to > $3)
      ORDER BY tax_area_id, code, valid_from`,
    [tx.tenantId, query.taxAreaIds, query.from, query.before],
  );
  return rows;
}

export type PlacementRow = {
  readonly window: bigint;
  readonly placement_id: string;
  readonly placed_on: string;
  readonly removed_on: string | null;
  readonly machine_id: string;
  readonly tag: string;
  readonly kind: string;
};

/**
 * Placements that touch a window, and those named beside it: a count may be booked to a period after its machine had left.
 * `also` holds pairs of window and placement.
 */
export async function readPlacements(
  tx: TenantTransaction,
  query: { windows: readonly Window[]; also: readonly { window: bigint; placementId: string }[] },
): Promise<PlacementRow[]> {
  const { rows } = await tx.sql<PlacementRow>(
    `WITH wanted AS (
       SELECT w.place, p.id
         FROM unnest($2::uuid[], $3::date[], $4::date[]) WITH ORDINALITY AS w (site_id, from_day, before_day, place)
         JOIN placement p ON p.tenant_id = $1 AND p.site_id = w.site_id AND p.placed_on < w.before_day
          AND (p.removed_on IS NULL OR p.removed_on > w.from_day)
       UNION
       SELECT place, id FROM unnest($5::bigint[], $6::uuid[]) AS also (place, id))
     SELECT wanted.place AS window, p.id AS placement_id, p.placed_on, p.removed_on, m.id AS machine_id, m.tag, m.kind
       FROM wanted
       JOIN placement p ON p.tenant_id = $1 AND p.id = wanted.id
       JOIN machine m ON m.tenant_id = p.tenant_id AND m.id = p.machine_id
      ORDER BY wanted.place, m.tag, p.placed_on, p.id`,
    [...windowValues(tx, query.windows), query.also.map((each) => each.window), query.also.map((each) => each.placementId)],
  );
  return rows;
}

export type CountRow = {
  readonly window: bigint;
  readonly id: string;
  readonly collection_id: string;
  readonly placement_id: string;
  readonly machine_id: string;
  readonly accounting_date: string;
  readonly local_date: string;
  readonly removal: boolean;
  readonly coin_minor: bigint;
  readonly note_minor: bigint;
  readonly tokens: TokenPieces;
  readonly metered_minor: bigint | null;
};

/**
 * Counts that stand (accepted, not replaced by a correction), in the order in which the boxes were emptied. Beside those
 * booked into a window there are the ones emptied between its first and last: a collection that is booked to another
 * period still ends the days that the count before it covers.
 */
export async function readCounts(tx: TenantTransaction, windows: readonly Window[]): Promise<CountRow[]> {
  const { rows } = await tx.sql<CountRow>(
    `WITH span AS (
       SELECT w.place, w.site_id, least(w.from_day, min(c.local_date)) AS first_day, greatest(w.before_day, max(c.local_date) + 1) AS before_day
         FROM unnest($2::uuid[], $3::date[], $4::date[]) WITH ORDINALITY AS w (site_id, from_day, before_day, place)
         LEFT JOIN collection c ON c.tenant_id = $1 AND c.site_id = w.site_id AND c.state = 'accepted'
          AND c.accounting_date >= w.from_day AND c.accounting_date < w.before_day
        GROUP BY w.place, w.site_id, w.from_day, w.before_day)
     SELECT span.place AS window, b.id, c.id AS collection_id, b.placement_id, b.machine_id, c.accounting_date, c.local_date,
            b.removal, b.coin_minor, b.note_minor, b.tokens, b.metered_minor
       FROM span
       JOIN collection c ON c.tenant_id = $1 AND c.site_id = span.site_id AND c.state = 'accepted'
        AND c.local_date >= span.first_day AND c.local_date < span.before_day
       JOIN box_count b ON b.tenant_id = c.tenant_id AND b.collection_id = c.id
      WHERE NOT EXISTS (SELECT FROM box_count newer WHERE newer.tenant_id = b.tenant_id AND newer.replaces_id = b.id)
      ORDER BY span.place, b.placement_id, c.local_date, c.happened_at, c.id, b.part`,
    windowValues(tx, windows),
  );
  return rows;
}

export type PreviousCount = { readonly window: bigint; readonly placement_id: string; readonly local_date: string };

/**
 * The day of the last accepted count of each placement before a day. Looked for backwards through the site's collections,
 * where the first or second step finds it; a placement's own counts would all be read, and there are more every week.
 */
export async function readPreviousCounts(
  tx: TenantTransaction,
  wanted: readonly { window: bigint; placementId: string; siteId: string; before: string }[],
): Promise<PreviousCount[]> {
  const { rows } = await tx.sql<PreviousCount>(
    `SELECT w.place AS window, w.placement_id, last.local_date
       FROM unnest($2::bigint[], $3::uuid[], $4::uuid[], $5::date[]) AS w (place, placement_id, site_id, before_day)
       CROSS JOIN LATERAL (
         SELECT c.local_date FROM collection c
          WHERE c.tenant_id = $1 AND c.site_id = w.site_id AND c.state = 'accepted' AND c.local_date < w.before_day
            -- OFFSET 0: else it becomes a join, which begins at all counts of the placement.
            AND EXISTS (SELECT FROM box_count b WHERE b.tenant_id = $1 AND b.collection_id = c.id AND b.placement_id = w.placement_id AND b.replaces_id IS NULL OFFSET 0)
          ORDER BY c.local_date DESC LIMIT 1) last`,
    [tx.tenantId, wanted.map((each) => each.window), wanted.map((each) => each.placementId), wanted.map((each) => each.siteId), wanted.map((each) => each.before)],
  );
  return rows;
}

export type SlipRow = {
  readonly window: bigint;
  readonly id: string;
  readonly collection_id: string;
  readonly placement_id: string;
  readonly machine_id: string;
  readonly accounting_date: string;
  readonly refunded_on: string;
  readonly amount_minor: bigint;
  readonly paid_by: 'site' | 'operator';
};

export async function readSlips(tx: TenantTransaction, windows: readonly Window[]): Promise<SlipRow[]> {
  const { rows } = await tx.sql<SlipRow>(
    `SELECT w.place AS window, r.id, c.id AS collection_id, r.placement_id, r.machine_id, c.accounting_date, r.refunded_on, r.amount_minor, r.paid_by
       FROM unnest($2::uuid[], $3::date[], $4::date[]) WITH ORDINALITY AS w (site_id, from_day, before_day, place)
       JOIN collection c ON c.tenant_id = $1 AND c.site_id = w.site_id AND c.state = 'accepted'
        AND c.accounting_date >= w.from_day AND c.accounting_date < w.before_day
       JOIN refund_slip r ON r.tenant_id = c.tenant_id AND r.collection_id = c.id AND r.amount_minor > 0
        AND NOT EXISTS (SELECT FROM refund_slip newer WHERE newer.tenant_id = r.tenant_id AND newer.replaces_id = r.id)
      ORDER BY w.place, r.id`,
    windowValues(tx, windows),
  );
  return rows;
}

/** Card takings or a break-in of a machine, booked into a window. */
export type MachineRecordRow = {
  readonly window: bigint;
  readonly of: 'cashless' | 'break-in';
  readonly id: string;
  readonly placement_id: string;
  readonly machine_id: string;
  readonly accounting_date: string;
  readonly amount_minor: bigint;
  /** Of card takings: what was given back. */
  readonly refunded_minor: bigint;
};

/** Card takings and break-ins that stand. One statement: both are rare, and a batch must not pay a round trip for each. */
export async function readMachineRecords(tx: TenantTransaction, windows: readonly Window[]): Promise<MachineRecordRow[]> {
  const { rows } = await tx.sql<MachineRecordRow>(
    `WITH w AS (SELECT * FROM unnest($2::uuid[], $3::date[], $4::date[]) WITH ORDINALITY AS w (site_id, from_day, before_day, place))
     SELECT w.place AS window, 'cashless' AS of, t.id, t.placement_id, t.machine_id, t.accounting_date, t.gross_minor AS amount_minor, t.refunded_minor
       FROM w JOIN cashless_taking t ON t.tenant_id = $1 AND t.site_id = w.site_id
        AND t.accounting_date >= w.from_day AND t.accounting_date < w.before_day
      WHERE NOT EXISTS (SELECT FROM cashless_taking newer WHERE newer.tenant_id = t.tenant_id AND newer.replaces_id = t.id)
     UNION ALL
     SELECT w.place, 'break-in', b.id, b.placement_id, b.machine_id, b.accounting_date, b.amount_minor, 0
       FROM w JOIN break_in b ON b.tenant_id = $1 AND b.site_id = w.site_id
        AND b.accounting_date >= w.from_day AND b.accounting_date < w.before_day
      WHERE b.amount_minor > 0
        AND NOT EXISTS (SELECT FROM break_in newer WHERE newer.tenant_id = b.tenant_id AND newer.replaces_id = b.id)
      ORDER BY 1, 2, 3`,
    windowValues(tx, windows),
  );
  return rows;
}

export type HandedRow = {
  readonly window: bigint;
  readonly id: string;
  readonly collection_id: string;
  readonly party_id: string;
  readonly local_date: string;
  readonly amount_minor: bigint;
};

/**
 * Cash handed out at the collections of the windows. `also` holds pairs of window and collection: one that came too late
 * for its own period is set off with those of the period that is settled now. `corrected` holds pairs of window and
 * correction: what was set off already is set off again by the difference, which may be below zero.
 */
export async function readHandedCash(
  tx: TenantTransaction,
  query: { windows: readonly (Window & { place: bigint })[]; also: readonly { window: bigint; collectionId: string }[]; corrected: readonly { window: bigint; handedId: string }[] },
): Promise<HandedRow[]> {
  const { windows, also, corrected } = query;
  const { rows } = await tx.sql<HandedRow>(
    `WITH wanted AS (
       SELECT w.place, c.id, c.local_date
         FROM unnest($2::uuid[], $3::date[], $4::date[], $5::bigint[]) AS w (site_id, from_day, before_day, place)
         JOIN collection c ON c.tenant_id = $1 AND c.site_id = w.site_id AND c.state = 'accepted'
          AND c.accounting_date >= w.from_day AND c.accounting_date < w.before_day
       UNION
       SELECT also.place, c.id, c.local_date
         FROM unnest($6::bigint[], $7::uuid[]) AS also (place, collection_id)
         JOIN collection c ON c.tenant_id = $1 AND c.id = also.collection_id AND c.state = 'accepted')
     SELECT wanted.place AS window, h.id, h.collection_id, h.party_id, wanted.local_date, h.amount_minor
       FROM wanted JOIN cash_handed h ON h.tenant_id = $1 AND h.collection_id = wanted.id AND h.amount_minor > 0
        AND NOT EXISTS (SELECT FROM cash_handed newer WHERE newer.tenant_id = h.tenant_id AND newer.replaces_id = h.id)
     UNION ALL
     SELECT corrected.place, h.id, h.collection_id, h.party_id, c.local_date, h.amount_minor - old.amount_minor
       FROM unnest($8::bigint[], $9::uuid[]) AS corrected (place, handed_id)
       JOIN cash_handed h ON h.tenant_id = $1 AND h.id = corrected.handed_id
       JOIN cash_handed old ON old.tenant_id = h.tenant_id AND old.id = h.replaces_id
       JOIN collection c ON c.tenant_id = h.tenant_id AND c.id = h.collection_id
      WHERE h.amount_minor <> old.amount_minor
        AND NOT EXISTS (SELECT FROM wanted WHERE wanted.place = corrected.place AND wanted.id = h.collection_id)
      ORDER BY 1, 2`,
    [
      ...windowValues(tx, windows),
      windows.map((w) => w.place),
      also.map((each) => each.window),
      also.map((each) => each.collectionId),
      corrected.map((each) => each.window),
      corrected.map((each) => each.handedId),
    ],
  );
  return rows;
}

function windowValues(tx: TenantTransaction, windows: readonly Window[]): unknown[] {
  return [tx.tenantId, windows.map((w) => w.siteId), windows.map((w) => w.from), windows.map((w) => w.before)];
}
