import type { TenantTransaction } from '#database/tenant';

/** A hold lasts until it is released, a question until it is answered: the last word of each pair counts. */
const pairs = { hold: "('held', 'released')", question: "('questioned', 'answered')" } as const;

/** Joins the last word of a pair, as `alias`, to settlements that go by another alias. */
export function joinLastWord(pair: keyof typeof pairs, { of, as }: { of: string; as: string }): string {
  return `LEFT JOIN LATERAL (SELECT e.kind, e.note, e.happened_at, e.happened_by FROM settlement_event e
            WHERE e.tenant_id = ${of}.tenant_id AND e.settlement_id = ${of}.id AND e.kind IN ${pairs[pair]}
            ORDER BY e.happened_at DESC, e.id DESC LIMIT 1) ${as} ON true`;
}

export type OpenNoteRow = { readonly settlement_id: string; readonly note: string };

/** Those of some settlements that are held, with the reason; or that somebody of the site has asked about. */
export async function selectOpenNotes(tx: TenantTransaction, pair: keyof typeof pairs, settlementIds: readonly string[]): Promise<OpenNoteRow[]> {
  const { rows } = await tx.sql<OpenNoteRow>(
    `SELECT x.id AS settlement_id, word.note FROM settlement x ${joinLastWord(pair, { of: 'x', as: 'word' })}
      WHERE x.tenant_id = $1 AND x.id = ANY ($2::uuid[]) AND word.kind = $3`,
    [tx.tenantId, settlementIds, pair === 'hold' ? 'held' : 'questioned'],
  );
  return rows;
}
