import type { TenantTransaction } from '#database/tenant';

export async function insertSignatures(tx: TenantTransaction, signatures: readonly { readonly cashHandedId: string; readonly strokes: readonly (readonly number[])[] }[], now: Date): Promise<void> {
  if (signatures.length === 0) return;
  await tx.sql('INSERT INTO cash_handed_signature (tenant_id, cash_handed_id, strokes, recorded_at) SELECT $1, s.id, s.strokes, $2 FROM unnest($3::uuid[], $4::jsonb[]) AS s (id, strokes)', [
    tx.tenantId,
    now,
    signatures.map(({ cashHandedId }) => cashHandedId),
    signatures.map(({ strokes }) => JSON.stringify(strokes)),
  ]);
}

export type NewPhoneVisit = {
  readonly id: string;
  readonly deviceId: string;
  readonly sequence: number;
  readonly body: object;
  readonly bodyHash: Buffer;
  readonly collectionId: string | null;
  /** Null when it was entered. */
  readonly problem: object | null;
};

export async function insertPhoneVisit(tx: TenantTransaction, visit: NewPhoneVisit, now: Date): Promise<void> {
  await tx.sql(
    `INSERT INTO phone_visit (tenant_id, id, device_id, sequence, body, body_hash, outcome, collection_id, problem, received_at, received_from)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)`,
    [
      tx.tenantId,
      visit.id,
      visit.deviceId,
      visit.sequence,
      JSON.stringify(visit.body),
      visit.bodyHash,
      visit.problem === null ? 'entered' : 'quarantined',
      visit.collectionId,
      visit.problem === null ? null : JSON.stringify(visit.problem),
      now,
      tx.actor,
    ],
  );
}

export type SentVisitRow = { id: string; account_id: string; body_hash: Buffer; outcome: 'entered' | 'quarantined'; collection_id: string | null };

export async function selectSent(tx: TenantTransaction, id: string): Promise<SentVisitRow | null> {
  const { rows } = await tx.sql<SentVisitRow>(
    `SELECT v.id, d.account_id, v.body_hash, v.outcome, v.collection_id FROM phone_visit v JOIN collector_device d ON d.tenant_id = v.tenant_id AND d.id = v.device_id
      WHERE v.tenant_id = $1 AND v.id = $2`,
    [tx.tenantId, id],
  );
  return rows[0] ?? null;
}

/** Whether an account's other version of a visit that came already is kept under an id of its own. */
export async function isOtherVersionKept(tx: TenantTransaction, other: { readonly accountId: string; readonly bodyHash: Buffer }): Promise<boolean> {
  const { rowCount } = await tx.sql(
    `SELECT FROM phone_visit v JOIN collector_device d ON d.tenant_id = v.tenant_id AND d.id = v.device_id
      WHERE v.tenant_id = $1 AND v.outcome = 'quarantined' AND d.account_id = $2 AND v.body_hash = $3`,
    [tx.tenantId, other.accountId, other.bodyHash],
  );
  return rowCount > 0;
}

/** Number of the latest visit that came from the device; 0 before the first. */
export async function latestSequence(tx: TenantTransaction, deviceId: string): Promise<number> {
  const { rows } = await tx.sql<{ latest: number }>('SELECT coalesce(max(sequence), 0) AS latest FROM phone_visit WHERE tenant_id = $1 AND device_id = $2', [tx.tenantId, deviceId]);
  return rows[0]?.latest ?? 0;
}

export type PhoneVisitRow = {
  id: string;
  state: 'entered' | 'quarantined' | 'corrected' | 'discarded' | 'withdrawn';
  account_id: string;
  device_id: string;
  device_name: string;
  person_id: string | null;
  person_name: string | null;
  site_id: string | null;
  site_code: string | null;
  /** The site of what the office entered instead. */
  entered_site_id: string | null;
  sequence: number;
  received_at: Date;
  collection_id: string | null;
  problem: unknown;
  body: unknown;
  /** Null while it is whole; then where and when it was is left of it. */
  body_removed_at: Date | null;
  ruling_kind: 'entered' | 'discarded' | 'withdrawn' | null;
  ruling_reason: string | null;
  ruled_at: Date | null;
  ruled_by: string | null;
  ruling_entered: unknown;
  seen_at: Date | null;
  seen_by: string | null;
};

/** By arrival, the latest first; only one, or only those in a state, when it is named. */
export async function selectPhoneVisits(
  tx: TenantTransaction,
  list: { readonly id: string | null; readonly state: string | null; readonly seen: boolean | null; readonly after: readonly [receivedAt: string, id: string] | null; readonly limit: number },
): Promise<PhoneVisitRow[]> {
  const [receivedAt, id] = list.after ?? [null, null];
  const { rows } = await tx.sql<PhoneVisitRow>(
    `SELECT * FROM (
       SELECT v.id, CASE WHEN v.outcome = 'entered' THEN 'entered' WHEN r.kind IS NULL THEN 'quarantined' WHEN r.kind = 'entered' THEN 'corrected' ELSE r.kind END AS state, d.account_id,
              v.device_id, d.name AS device_name, d.person_id, p.name AS person_name, s.id AS site_id, s.code AS site_code, entered.site_id AS entered_site_id, v.sequence, v.received_at,
              coalesce(v.collection_id, r.collection_id) AS collection_id, v.problem, v.body, v.body_removed_at,
              r.kind AS ruling_kind, r.reason AS ruling_reason, r.ruled_at, r.ruled_by, r.entered AS ruling_entered, seen.seen_at, seen.seen_by
         FROM phone_visit v
         JOIN collector_device d ON d.tenant_id = v.tenant_id AND d.id = v.device_id
         LEFT JOIN person p ON p.tenant_id = d.tenant_id AND p.id = d.person_id
         LEFT JOIN site s ON s.tenant_id = v.tenant_id AND s.id::text = lower(v.body ->> 'siteId')
         LEFT JOIN phone_visit_ruling r ON r.tenant_id = v.tenant_id AND r.visit_id = v.id
         LEFT JOIN withdrawn_visit_seen seen ON seen.tenant_id = v.tenant_id AND seen.visit_id = v.id
         LEFT JOIN collection entered ON entered.tenant_id = v.tenant_id AND entered.id = r.collection_id
        WHERE v.tenant_id = $1) visit
      WHERE ($2::uuid IS NULL OR id = $2) AND ($3::text IS NULL OR state = $3) AND ($7::boolean IS NULL OR (seen_at IS NOT NULL) = $7) AND ($4::timestamptz IS NULL OR (received_at, id) < ($4::timestamptz, $5::uuid))
      ORDER BY received_at DESC, id DESC LIMIT $6`,
    [tx.tenantId, list.id, list.state, receivedAt, id, list.limit, list.seen],
  );
  return rows;
}

export type OwnKeptVisitRow = { id: string; site_name: string | null; happened_at: string | null; received_at: Date; problem: unknown };

/** Visits that an account sent and that wait for a ruling, the latest first: no more of them than a phone shows, with why they wait, and nothing of what is in them. */
export async function selectOwnKeptVisits(tx: TenantTransaction, { accountId }: { readonly accountId: string }): Promise<OwnKeptVisitRow[]> {
  const { rows } = await tx.sql<OwnKeptVisitRow>(
    `SELECT v.id, s.name AS site_name, v.body ->> 'happenedAt' AS happened_at, v.received_at, v.problem
       FROM collector_device d
       JOIN phone_visit v ON v.tenant_id = d.tenant_id AND v.device_id = d.id AND v.outcome = 'quarantined'
       LEFT JOIN site s ON s.tenant_id = v.tenant_id AND s.id::text = lower(v.body ->> 'siteId')
      WHERE d.tenant_id = $1 AND d.account_id = $2 AND NOT EXISTS (SELECT FROM phone_visit_ruling r WHERE r.tenant_id = v.tenant_id AND r.visit_id = v.id)
      ORDER BY v.received_at DESC, v.id DESC LIMIT 50`,
    [tx.tenantId, accountId],
  );
  return rows;
}

/** One ruling for a visit: of two who rule at once, the key refuses the second. */
export async function insertRuling(
  tx: TenantTransaction,
  ruling: { readonly visitId: string; readonly kind: 'entered' | 'discarded' | 'withdrawn'; readonly reason: string; readonly entered: object | null; readonly collectionId: string | null; readonly now: Date },
): Promise<void> {
  await tx.sql('INSERT INTO phone_visit_ruling (tenant_id, visit_id, kind, reason, entered, collection_id, ruled_at, ruled_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)', [
    tx.tenantId,
    ruling.visitId,
    ruling.kind,
    ruling.reason,
    ruling.entered === null ? null : JSON.stringify(ruling.entered),
    ruling.collectionId,
    ruling.now,
    tx.actor,
  ]);
}

/** Of two who have seen it at once, the key refuses the second. */
export async function insertSeen(tx: TenantTransaction, { visitId, now }: { readonly visitId: string; readonly now: Date }): Promise<void> {
  await tx.sql('INSERT INTO withdrawn_visit_seen (tenant_id, visit_id, seen_at, seen_by) VALUES ($1, $2, $3, $4)', [tx.tenantId, visitId, now, tx.actor]);
}

/** Puts on record who was shown visits that are kept aside, the first time. */
export async function insertVisitLooks(tx: TenantTransaction, look: { readonly by: string; readonly visitIds: readonly string[]; readonly now: Date }): Promise<void> {
  if (look.visitIds.length === 0) return;
  await tx.sql('INSERT INTO kept_visit_look (tenant_id, visit_id, looked_by, looked_at) SELECT $1, v.id, $2, $3 FROM unnest($4::uuid[]) AS v (id) ON CONFLICT DO NOTHING', [tx.tenantId, look.by, look.now, look.visitIds]);
}
