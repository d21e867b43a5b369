import type { TenantTransaction } from '#database/tenant';
import type { RelaxedRecord } from '#contracts/policy';
import type { LocalDate } from '#domain/calendar/local-date';

export type RelaxedRecordRow = {
  record_id: string;
  rule: RelaxedRecord['rule'];
  kind: RelaxedRecord['kind'];
  about: string | null;
  collection_id: string | null;
  review_on: LocalDate | null;
  recorded_at: Date;
  recorded_by: string;
};

/** For a figure of a collection: what it is about, and the collection. */
const figure = (table: string, about: string): string =>
  `SELECT ${about} AS about, f.collection_id FROM ${table} f JOIN site s ON s.tenant_id = $1 AND s.id = f.site_id WHERE f.tenant_id = $1 AND f.id = r.record_id`;
const ofMachine = `(SELECT m.tag FROM machine m WHERE m.tenant_id = $1 AND m.id = f.machine_id) || ', ' || s.name`;

/**
 * What a record is about, in the words by which people know it: the numbers of the keys, the store, or machine and site.
 * Each kind is looked up by its id, and only that of the row is.
 */
const subjects = [
  `SELECT string_agg(copy.number, ', ' ORDER BY copy.number) AS about, NULL::uuid AS collection_id
     FROM custody_event_copy ec JOIN key_copy copy ON copy.tenant_id = $1 AND copy.id = ec.key_copy_id
    WHERE r.kind = 'custody-event' AND ec.tenant_id = $1 AND ec.event_id = r.record_id HAVING count(*) > 0`,
  `SELECT s.name, NULL FROM key_inventory i JOIN key_store s ON s.tenant_id = $1 AND s.id = i.key_store_id WHERE r.kind = 'key-count' AND i.tenant_id = $1 AND i.id = r.record_id`,
  `SELECT p.name || ', ' || s.name, NULL
     FROM key_custodian c JOIN key_store s ON s.tenant_id = $1 AND s.id = c.key_store_id JOIN person p ON p.tenant_id = $1 AND p.id = c.person_id
    WHERE r.kind = 'custodian' AND c.tenant_id = $1 AND c.id = r.record_id`,
  `${figure('box_count', ofMachine)} AND r.kind = 'count'`,
  `${figure('field_count', ofMachine)} AND r.kind = 'field-count'`,
  `${figure('refund_slip', ofMachine)} AND r.kind = 'refund-slip'`,
  `${figure('cash_handed', 's.name')} AND r.kind = 'cash-handed'`,
  `${figure('cashless_taking', ofMachine)} AND r.kind = 'cashless-taking'`,
  `SELECT ${ofMachine}, NULL FROM break_in f JOIN site s ON s.tenant_id = $1 AND s.id = f.site_id WHERE r.kind = 'break-in' AND f.tenant_id = $1 AND f.id = r.record_id`,
  `SELECT machine.tag || ', ' || meter.label, f.collection_id
     FROM meter_reading f JOIN machine ON machine.tenant_id = $1 AND machine.id = f.machine_id JOIN meter ON meter.tenant_id = $1 AND meter.id = f.meter_id
    WHERE r.kind = 'meter-reading' AND f.tenant_id = $1 AND f.id = r.record_id`,
  `SELECT machine.tag || ', ' || meter.label, NULL FROM meter_value_correction f JOIN meter ON meter.tenant_id = $1 AND meter.id = f.meter_id JOIN machine ON machine.tenant_id = $1 AND machine.id = meter.machine_id
    WHERE r.kind = 'meter-price' AND f.tenant_id = $1 AND f.id = r.record_id`,
  `SELECT coalesce(p.name, 'The operator’s own account'), NULL FROM bank_detail b LEFT JOIN party p ON p.tenant_id = $1 AND p.id = b.party_id
    WHERE r.kind = 'bank-detail' AND b.tenant_id = $1 AND b.id = r.record_id`,
  `SELECT m.tag || ', ' || s.name, c.id FROM box_metered b JOIN machine m ON m.tenant_id = $1 AND m.id = b.machine_id
     JOIN collection c ON c.tenant_id = $1 AND c.id = b.collection_id JOIN site s ON s.tenant_id = $1 AND s.id = c.site_id
    WHERE r.kind = 'metered-amount' AND b.tenant_id = $1 AND b.id = r.record_id`,
  `SELECT s.name, c.id FROM collection c JOIN site s ON s.tenant_id = $1 AND s.id = c.site_id WHERE r.kind = 'collection-discard' AND c.tenant_id = $1 AND c.id = r.record_id`,
  `SELECT b.number || ', ' || s.name, c.id
     FROM collection_bag_step step JOIN collection_bag b ON b.tenant_id = $1 AND b.id = step.bag_id
     JOIN collection c ON c.tenant_id = $1 AND c.id = b.collection_id JOIN site s ON s.tenant_id = $1 AND s.id = c.site_id
    WHERE r.kind = 'bag-step' AND step.tenant_id = $1 AND step.id = r.record_id`,
  `SELECT b.number || ', ' || s.name, c.id
     FROM collection_bag_correction k JOIN collection_bag b ON b.tenant_id = $1 AND b.id = k.bag_id
     JOIN collection c ON c.tenant_id = $1 AND c.id = b.collection_id JOIN site s ON s.tenant_id = $1 AND s.id = c.site_id
    WHERE r.kind = 'bag' AND k.tenant_id = $1 AND k.id = r.record_id`,
  `SELECT coalesce(s.name || ', ', '') || d.name, NULL
     FROM phone_visit v JOIN collector_device d ON d.tenant_id = $1 AND d.id = v.device_id LEFT JOIN site s ON s.tenant_id = $1 AND s.id::text = lower(v.body ->> 'siteId')
    WHERE r.kind IN ('visit-discard', 'visit-seen') AND v.tenant_id = $1 AND v.id = r.record_id`,
  `SELECT 'Payment run for ' || p.execute_on::text, NULL FROM payment_run p WHERE r.kind = 'payment-run' AND p.tenant_id = $1 AND p.id = r.record_id`,
  `SELECT encode(c.fingerprint, 'hex'), NULL FROM signing_certificate_revocation v JOIN signing_certificate c ON c.tenant_id = $1 AND c.id = v.certificate_id
    WHERE r.kind = 'certificate-revocation' AND v.tenant_id = $1 AND v.id = r.record_id`,
  `SELECT machine.tag, NULL FROM outage o JOIN machine ON machine.tenant_id = $1 AND machine.id = o.machine_id WHERE r.kind = 'outage' AND o.tenant_id = $1 AND o.id = r.record_id`,
  `SELECT p.name || ', ' || m.counted_on::text, NULL FROM cash_move m JOIN person p ON p.tenant_id = $1 AND p.id = m.collector_id WHERE r.kind = 'cash-hand-in' AND m.tenant_id = $1 AND m.id = r.record_id`,
  `SELECT d.name, NULL FROM collector_device d WHERE r.kind = 'device-release' AND d.tenant_id = $1 AND d.id = r.record_id`,
].join(' UNION ALL ');

/** The latest first, each with the review date of the policy under which it was made. */
export async function selectRelaxedRecords(
  tx: TenantTransaction,
  list: { readonly rule: RelaxedRecord['rule'] | null; readonly after: readonly [recordedAt: string, id: string, rule: string] | null; readonly limit: number },
): Promise<RelaxedRecordRow[]> {
  const { rows } = await tx.sql<RelaxedRecordRow>(
    `SELECT r.record_id, r.rule, r.kind, subject.about, subject.collection_id, decided.one_person_review_on AS review_on, r.recorded_at, r.recorded_by
       FROM (SELECT * FROM relaxed_record
              WHERE tenant_id = $1 AND ($2::text IS NULL OR rule = $2) AND ($3::timestamptz IS NULL OR (recorded_at, record_id, rule) < ($3::timestamptz, $4::uuid, $5::text))
              ORDER BY recorded_at DESC, record_id DESC, rule DESC LIMIT $6) r
       LEFT JOIN LATERAL (${subjects}) subject ON true
       LEFT JOIN LATERAL (SELECT one_person_review_on FROM policy WHERE tenant_id = $1 AND effective_from <= r.recorded_at
                           ORDER BY effective_from DESC, recorded_at DESC, id DESC LIMIT 1) decided ON true
      ORDER BY r.recorded_at DESC, r.record_id DESC, r.rule DESC`,
    [tx.tenantId, list.rule, list.after?.[0] ?? null, list.after?.[1] ?? null, list.after?.[2] ?? null, list.limit],
  );
  return rows;
}
