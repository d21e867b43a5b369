import type { TenantTransaction } from '#database/tenant';
import type { CurrencyCode } from '#domain/money/currency';
import { madeAlone } from '../policy/policy.sql';

/** SQL: what units are worth by what stands: of each entry its latest correction. */
export const standingValues = `
  SELECT v.tenant_id, v.meter_id, v.effective_at AS first_at, coalesce(k.effective_at, v.effective_at) AS effective_at, coalesce(k.unit_value_minor, v.unit_value_minor) AS unit_value_minor, coalesce(k.withdrawn, false) AS withdrawn
    FROM meter_value v
    LEFT JOIN LATERAL (SELECT c.effective_at, c.unit_value_minor, c.withdrawn FROM meter_value_correction c
                        WHERE c.tenant_id = v.tenant_id AND c.meter_id = v.meter_id AND c.first_effective_at = v.effective_at AND c.entry = v.entry ORDER BY c.round DESC LIMIT 1) k ON true`;

/** One entry or one correction of it. */
export type PriceRow = {
  meter_id: string;
  meter_label: string;
  board_id: string;
  fitted_at: Date;
  removed_at: Date | null;
  currency: CurrencyCode;
  /** Names the entry, together with its meter and `entry`: at a moment whose first entry was put elsewhere since, there may be another one. */
  first_at: Date;
  entry: number;
  /** 0 as it was entered. */
  round: number;
  effective_at: Date;
  unit_value_minor: bigint;
  withdrawn: boolean;
  reason: string | null;
  made_alone: boolean;
  recorded_at: Date;
  recorded_by: string;
};

/** Everything that was said of what the units of a machine's meters are worth: entry by entry, the latest of each first. */
export async function selectPrices(tx: TenantTransaction, machineId: string): Promise<PriceRow[]> {
  const { rows } = await tx.sql<PriceRow>(
    `SELECT m.id AS meter_id, m.label AS meter_label, m.board_id, b.fitted_at, b.removed_at, m.currency, said.first_at, said.entry, said.round, said.effective_at, said.unit_value_minor, said.withdrawn, said.reason, said.made_alone, said.recorded_at, said.recorded_by
       FROM meter m
       JOIN counter_board b ON b.tenant_id = $1 AND b.id = m.board_id
       JOIN LATERAL (
         SELECT v.effective_at AS first_at, v.entry, 0 AS round, v.effective_at, v.unit_value_minor, false AS withdrawn, NULL AS reason, false AS made_alone, v.recorded_at, v.recorded_by
           FROM meter_value v WHERE v.tenant_id = $1 AND v.meter_id = m.id
         UNION ALL
         SELECT c.first_effective_at, c.entry, c.round, c.effective_at, c.unit_value_minor, c.withdrawn, c.reason, ${madeAlone('c')}, c.recorded_at, c.recorded_by
           FROM meter_value_correction c WHERE c.tenant_id = $1 AND c.meter_id = m.id) said ON true
      WHERE m.tenant_id = $1 AND m.machine_id = $2
      ORDER BY b.fitted_at, said.first_at, said.entry, m.label, m.id, said.round DESC`,
    [tx.tenantId, machineId],
  );
  return rows;
}

export type NewPriceCorrection = { readonly id: string; readonly meterId: string; readonly firstAt: Date; readonly entry: number; readonly round: number; readonly at: Date; readonly minor: bigint; readonly withdrawn: boolean };

/** `reason`: null of changes that are entered anew, after they had been taken back. */
export async function insertPriceCorrections(tx: TenantTransaction, corrections: readonly NewPriceCorrection[], { reason, now }: { readonly reason: string | null; readonly now: Date }): Promise<void> {
  const column = <Value>(value: (correction: NewPriceCorrection) => Value): Value[] => corrections.map(value);
  await tx.sql(
    `INSERT INTO meter_value_correction (tenant_id, id, meter_id, first_effective_at, entry, round, effective_at, unit_value_minor, withdrawn, reason, recorded_at, recorded_by)
     SELECT $1, c.id, c.meter_id, c.first_at, c.entry, c.round, c.at, c.minor, c.withdrawn, $2, $3, $4
       FROM unnest($5::uuid[], $6::uuid[], $7::timestamptz[], $8::integer[], $9::integer[], $10::timestamptz[], $11::bigint[], $12::boolean[]) AS c (id, meter_id, first_at, entry, round, at, minor, withdrawn)`,
    [tx.tenantId, reason, now, tx.actor, column((c) => c.id), column((c) => c.meterId), column((c) => c.firstAt), column((c) => c.entry), column((c) => c.round), column((c) => c.at), column((c) => c.minor), column((c) => c.withdrawn)],
  );
}
