import type { TenantTransaction } from '#database/tenant';

export async function selectTakenNumbers(tx: TenantTransaction, numbers: readonly string[]): Promise<string[]> {
  const { rows } = await tx.sql<{ number: string }>('SELECT number FROM key_copy WHERE tenant_id = $1 AND number = ANY ($2::text[]) ORDER BY number', [tx.tenantId, numbers]);
  return rows.map((row) => row.number);
}

/** Writes copies with the class of their code. */
export async function insertCopies(
  tx: TenantTransaction,
  made: { copies: readonly { id: string; number: string }[]; keyCodeId: string; duplicatedFromId: string | null; now: Date },
): Promise<void> {
  await tx.sql(
    `INSERT INTO key_copy (tenant_id, id, number, key_code_id, class, duplicated_from_id, created_at)
     SELECT $1, copy.id, copy.number, code.id, code.class, $3, $4
       FROM key_code code, unnest($5::uuid[], $6::text[]) AS copy (id, number) WHERE code.tenant_id = $1 AND code.id = $2`,
    [tx.tenantId, made.keyCodeId, made.duplicatedFromId, made.now, made.copies.map(({ id }) => id), made.copies.map(({ number }) => number)],
  );
}
