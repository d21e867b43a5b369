import type { TenantTransaction } from '#database/tenant';

export type TextNaming = { table_name: string; column_name: string; row_id: string; said: string; remaining: string; took_part: boolean };

/** The texts of the books that name a person who is not erased yet. */
export async function selectTextsNaming(tx: TenantTransaction, personId: string): Promise<TextNaming[]> {
  const { rows } = await tx.sql<TextNaming>(
    'SELECT table_name, column_name, row_id, said, remaining, took_part FROM app.texts_naming($1) ORDER BY table_name, row_id, column_name',
    [personId],
  );
  return rows;
}

export type ListedText = TextNaming & { written_at: Date | null; about: string[] };

/** The same for somebody to read: with when each was written, and what it is about. */
export async function selectListedTexts(tx: TenantTransaction, personId: string): Promise<ListedText[]> {
  const { rows } = await tx.sql<ListedText>(
    `SELECT n.table_name, n.column_name, n.row_id, n.said, n.remaining, n.took_part, a.written_at, a.about
       FROM app.texts_naming($1) n CROSS JOIN LATERAL app.about_text(n.table_name, n.column_name, n.row_id) a
      ORDER BY a.written_at, n.table_name, n.row_id, n.column_name`,
    [personId],
  );
  return rows;
}

/** What is kept of one text that was changed. */
export type ErasureRow = {
  id: string;
  person_id: string;
  table_name: string;
  column_name: string;
  row_id: string;
  took_part: boolean;
  before_digest: Buffer;
  after_digest: Buffer | null;
  after_salt: Buffer | null;
  erased_at: Date;
  erased_by: string;
};
const columns = 'id, person_id, table_name, column_name, row_id, took_part, before_digest, after_digest, after_salt, erased_at, erased_by';

/**
 * Takes a person's name and address out of the texts about what they took part in and out of the confirmed ones
 * (`table/column/row`), and erases their signatures. Gives what the database recorded of it.
 */
export async function eraseTexts(tx: TenantTransaction, erased: { personId: string; confirmed: readonly string[]; now: Date }): Promise<ErasureRow[]> {
  const { rows } = await tx.sql<ErasureRow>(`SELECT ${columns} FROM app.erase_person_texts($1, $2, $3)`, [erased.personId, erased.now, erased.confirmed]);
  return rows;
}

export type StoredErasure = ErasureRow & {
  /** The text now, where nothing but an erasing may have changed it; null for one that may be written anew, or is no more. */
  said_now: string | null;
};

/** Every erasing of a text, in the order in which they were made. */
export async function selectErasures(tx: TenantTransaction): Promise<StoredErasure[]> {
  const { rows } = await tx.sql<StoredErasure>(
    `SELECT ${columns}, app.lasting_text(table_name, column_name, row_id) AS said_now
       FROM text_erasure WHERE tenant_id = $1 ORDER BY id`,
    [tx.tenantId],
  );
  return rows;
}

export type StoredSignature = { event_id: string; side: string; signed_name: string | null; signature: string | null; salt: Buffer | null; digest: Buffer; erased: boolean };

/** Signatures in the order of their events, after one of them. */
export async function selectSignaturesAfter(tx: TenantTransaction, list: { after: { eventId: string; side: string } | null; limit: number }): Promise<StoredSignature[]> {
  const { rows } = await tx.sql<StoredSignature>(
    `SELECT event_id, side, signed_name, signature, salt, digest, erased_at IS NOT NULL AS erased
       FROM custody_signature WHERE tenant_id = $1 AND ($2::uuid IS NULL OR (event_id, side) > ($2, $3)) ORDER BY event_id, side LIMIT $4`,
    [tx.tenantId, list.after?.eventId ?? null, list.after?.side ?? null, list.limit],
  );
  return rows;
}
