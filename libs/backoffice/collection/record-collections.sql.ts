import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { BoxContents } from './box-contents';
import type { StoredTallyLine } from './tally';

/** A visit that was checked: its local date is the site's day of `happenedAt`, its currency the site's. */
export type NewCollection = {
  readonly id: string;
  readonly siteId: string;
  readonly currency: string;
  readonly happenedAt: Date;
  readonly localDate: LocalDate;
  readonly accountingDate: LocalDate;
  /** Why it is booked to another day; null when it is not. */
  readonly accountingReason: string | null;
  readonly state: 'open' | 'counted';
  readonly collectedBy: string | null;
  readonly importFileId: string | null;
  /** Its counts are what the bags held; what was taken out of the boxes before comes on top. */
  readonly bagged: boolean;
};

/** Ties an entry to its visit; the currency is the visit's. */
type EntryOf = { readonly id: string; readonly collectionId: string; readonly siteId: string; readonly currency: string };

export type NewCount = EntryOf & {
  readonly placementId: string;
  readonly machineId: string;
  readonly part: number;
  readonly removal: boolean;
  readonly coinMinor: bigint;
  readonly noteMinor: bigint;
  /** It settles, and was counted at the machine: where a collector is named, the cash is with them until it is handed in. Else it lies in the counting room. */
  readonly atMachine?: boolean;
  /** Left out or null where amounts were entered. */
  readonly tally?: readonly StoredTallyLine[] | null;
} & BoxContents;

export type NewSlip = EntryOf & {
  readonly placementId: string;
  readonly machineId: string;
  readonly refundedOn: LocalDate;
  readonly amountMinor: bigint;
  readonly paidBy: 'site' | 'operator';
  /** Of it in coins; null where nobody noted that. */
  readonly coinMinor: bigint | null;
  /** The claim of the site that it takes over, where one is named. */
  readonly claimId?: string | null;
};

export type NewHanded = EntryOf & { readonly partyId: string; readonly amountMinor: bigint; readonly acknowledgedBy: string | null; readonly box: HandedBox | null; readonly coinMinor: bigint | null };
/** The box out of which cash was handed. */
export type HandedBox = { readonly placementId: string; readonly machineId: string };

export async function insertCollections(tx: TenantTransaction, collections: readonly NewCollection[], now: Date): Promise<void> {
  const column = <Value>(value: (collection: NewCollection) => Value): Value[] => collections.map(value);
  await tx.sql(
    `INSERT INTO collection (tenant_id, id, site_id, currency, happened_at, local_date, accounting_date, accounting_reason, state,
                             collected_by, import_file_id, bagged, recorded_at, recorded_by)
     SELECT $1, c.id, c.site_id, c.currency, c.happened_at, c.local_date, c.accounting_date, c.accounting_reason, c.state,
            c.collected_by, c.import_file_id, c.bagged, $2, $3
       FROM unnest($4::uuid[], $5::uuid[], $6::text[], $7::timestamptz[], $8::date[], $9::date[], $10::text[], $11::text[],
                   $12::uuid[], $13::uuid[], $14::boolean[])
         AS c (id, site_id, currency, happened_at, local_date, accounting_date, accounting_reason, state, collected_by, import_file_id, bagged)`,
    [
      tx.tenantId,
      now,
      tx.actor,
      column((c) => c.id),
      column((c) => c.siteId),
      column((c) => c.currency),
      column((c) => c.happenedAt),
      column((c) => c.localDate),
      column((c) => c.accountingDate),
      column((c) => c.accountingReason),
      column((c) => c.state),
      column((c) => c.collectedBy),
      column((c) => c.importFileId),
      column((c) => c.bagged),
    ],
  );
}

export async function insertCounts(tx: TenantTransaction, counts: readonly NewCount[], now: Date): Promise<void> {
  const column = <Value>(value: (count: NewCount) => Value): Value[] => counts.map(value);
  await tx.sql(
    `INSERT INTO box_count (tenant_id, id, collection_id, site_id, placement_id, machine_id, part, removal, currency, coin_minor,
                            note_minor, tokens, house_coin_minor, bad_coin_minor, metered_minor, at_machine, recorded_at, recorded_by)
     SELECT $1, b.id, b.collection_id, b.site_id, b.placement_id, b.machine_id, b.part, b.removal, b.currency, b.coin, b.note,
            b.tokens, b.house_coin, b.bad_coin, b.metered, b.at_machine, $2, $3
       FROM unnest($4::uuid[], $5::uuid[], $6::uuid[], $7::uuid[], $8::uuid[], $9::smallint[], $10::boolean[], $11::text[],
                   $12::bigint[], $13::bigint[], $14::jsonb[], $15::bigint[], $16::bigint[], $17::bigint[], $18::boolean[])
         AS b (id, collection_id, site_id, placement_id, machine_id, part, removal, currency, coin, note, tokens, house_coin, bad_coin, metered, at_machine)`,
    [
      tx.tenantId,
      now,
      tx.actor,
      column((b) => b.id),
      column((b) => b.collectionId),
      column((b) => b.siteId),
      column((b) => b.placementId),
      column((b) => b.machineId),
      column((b) => b.part),
      column((b) => b.removal),
      column((b) => b.currency),
      column((b) => b.coinMinor),
      column((b) => b.noteMinor),
      column((b) => JSON.stringify(b.tokens)),
      column((b) => b.houseCoinMinor),
      column((b) => b.badCoinMinor),
      column((b) => b.meteredMinor),
      column((b) => b.atMachine ?? false),
    ],
  );
}

/** How counts of this visit were counted. The scale belongs to those with a weight among them. */
export async function insertTallies(tx: TenantTransaction, tallies: readonly { readonly countId: string; readonly lines: readonly StoredTallyLine[] }[], scaleCheckId: string | null): Promise<void> {
  await tx.sql(
    `INSERT INTO box_tally (tenant_id, box_count_id, lines, scale_check_id)
     SELECT $1, t.count_id, t.lines, CASE WHEN t.weighed THEN $2::uuid END
       FROM unnest($3::uuid[], $4::jsonb[], $5::boolean[]) AS t (count_id, lines, weighed)`,
    [
      tx.tenantId,
      scaleCheckId,
      tallies.map(({ countId }) => countId),
      tallies.map(({ lines }) => JSON.stringify(lines)),
      tallies.map(({ lines }) => lines.some(({ milligrams }) => milligrams !== null)),
    ],
  );
}

export async function insertSlips(tx: TenantTransaction, slips: readonly NewSlip[], now: Date): Promise<void> {
  const column = <Value>(value: (slip: NewSlip) => Value): Value[] => slips.map(value);
  await tx.sql(
    `INSERT INTO refund_slip (tenant_id, id, collection_id, site_id, placement_id, machine_id, refunded_on, currency, amount_minor,
                              paid_by, coin_minor, recorded_at, recorded_by)
     SELECT $1, r.id, r.collection_id, r.site_id, r.placement_id, r.machine_id, r.refunded_on, r.currency, r.amount, r.paid_by, r.coin, $2, $3
       FROM unnest($4::uuid[], $5::uuid[], $6::uuid[], $7::uuid[], $8::uuid[], $9::date[], $10::text[], $11::bigint[], $12::text[], $13::bigint[])
         AS r (id, collection_id, site_id, placement_id, machine_id, refunded_on, currency, amount, paid_by, coin)`,
    [
      tx.tenantId,
      now,
      tx.actor,
      column((r) => r.id),
      column((r) => r.collectionId),
      column((r) => r.siteId),
      column((r) => r.placementId),
      column((r) => r.machineId),
      column((r) => r.refundedOn),
      column((r) => r.currency),
      column((r) => r.amountMinor),
      column((r) => r.paidBy),
      column((r) => r.coinMinor),
    ],
  );
}

export async function insertHanded(tx: TenantTransaction, handed: readonly NewHanded[], now: Date): Promise<void> {
  const column = <Value>(value: (each: NewHanded) => Value): Value[] => handed.map(value);
  await tx.sql(
    `INSERT INTO cash_handed (tenant_id, id, collection_id, site_id, party_id, currency, amount_minor, acknowledged_by, placement_id, machine_id, coin_minor, recorded_at, recorded_by)
     SELECT $1, h.id, h.collection_id, h.site_id, h.party_id, h.currency, h.amount, h.acknowledged_by, h.placement_id, h.machine_id, h.coin, $2, $3
       FROM unnest($4::uuid[], $5::uuid[], $6::uuid[], $7::uuid[], $8::text[], $9::bigint[], $10::text[], $11::uuid[], $12::uuid[], $13::bigint[])
         AS h (id, collection_id, site_id, party_id, currency, amount, acknowledged_by, placement_id, machine_id, coin)`,
    [
      tx.tenantId,
      now,
      tx.actor,
      column((h) => h.id),
      column((h) => h.collectionId),
      column((h) => h.siteId),
      column((h) => h.partyId),
      column((h) => h.currency),
      column((h) => h.amountMinor),
      column((h) => h.acknowledgedBy),
      column((h) => h.box?.placementId ?? null),
      column((h) => h.box?.machineId ?? null),
      column((h) => h.coinMinor),
    ],
  );
}
