/**
 * Accepted collections that may wait for another, as SQL: a reading was missed at it, so that their comparison begins before
 * it and waits for its count. They are found by the machines that stood at its site. Names the tenant `$1`.
 */
export function waitingFor(collectionId: string): string {
  return `SELECT v.collection_id
            FROM collection older
            JOIN placement p ON p.tenant_id = $1 AND p.site_id = older.site_id
            JOIN cash_variance v ON v.tenant_id = $1 AND v.machine_id = p.machine_id AND v.stands AND 'count-waits' = ANY (v.unknown) AND v.happened_at > older.happened_at AND v.since_at < older.happened_at
           WHERE older.tenant_id = $1 AND older.id = ${collectionId}`;
}
