import type { FindableKind } from '#contracts/search';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';

type FoundRow = { kind: FindableKind; id: string; code: string; name: string | null; place: string | null; starts_on: LocalDate | null };

type Asked = {
  readonly kinds: readonly FindableKind[];
  readonly text: string;
  /** For ILIKE, without accents: begins with the text; and of each word of the text, contains it. */
  readonly prefix: string;
  readonly words: readonly string[];
  readonly today: string;
  readonly limit: number;
};

/**
 * Per kind: what is shown, and `words`, what is searched. Each is read whole by one scan of its table (10,000 machines: some
 * 20 ms): an index of word parts would have to be kept by every write and saves a search nothing that anybody notices.
 */
const sources: Readonly<Record<FindableKind, string>> = {
  site: `SELECT id, code, name, NULL AS place, NULL::date AS starts_on, array_to_string(ARRAY[code, name] || address, ' ') AS words FROM site WHERE tenant_id = $1`,
  machine: `SELECT m.id, m.tag AS code, g.title AS name, s.name AS place, NULL::date AS starts_on, concat_ws(' ', m.tag, m.serial_number, g.title, s.name) AS words
              FROM machine m
              LEFT JOIN placement p ON p.tenant_id = m.tenant_id AND p.machine_id = m.id AND p.placed_on <= $5 AND (p.removed_on IS NULL OR p.removed_on > $5)
              LEFT JOIN site s ON s.tenant_id = p.tenant_id AND s.id = p.site_id
              LEFT JOIN installation i ON i.tenant_id = m.tenant_id AND i.machine_id = m.id AND i.installed_on <= $5 AND (i.removed_on IS NULL OR i.removed_on > $5)
              LEFT JOIN game g ON g.tenant_id = i.tenant_id AND g.id = i.game_id
             WHERE m.tenant_id = $1`,
  settlement: `SELECT t.id, t.number AS code, s.name, NULL AS place, t.starts_on, t.number AS words
                 FROM settlement t JOIN site s ON s.tenant_id = t.tenant_id AND s.id = t.site_id WHERE t.tenant_id = $1 AND t.number IS NOT NULL`,
  party: `SELECT id, code, name, NULL AS place, NULL::date AS starts_on, array_to_string(ARRAY[code, name] || address, ' ') AS words FROM party WHERE tenant_id = $1`,
  person: `SELECT id, code, name, NULL AS place, NULL::date AS starts_on, concat_ws(' ', code, name) AS words FROM person WHERE tenant_id = $1 AND erased_at IS NULL`,
  'key-code': `SELECT id, code, NULL AS name, NULL AS place, NULL::date AS starts_on, code AS words FROM key_code WHERE tenant_id = $1`,
  'key-copy': `SELECT k.id, k.number AS code, c.code AS name, NULL AS place, NULL::date AS starts_on, k.number AS words
                 FROM key_copy k JOIN key_code c ON c.tenant_id = k.tenant_id AND c.id = k.key_code_id WHERE k.tenant_id = $1`,
};

/** Without accents, which people leave out where they type quickly. */
const plain = (text: string): string => String.raw`regexp_replace(normalize(${text}, NFD), '[\u0300-\u036f]', '', 'g')`;

/** At most `limit` of each kind: the exact code first, then what begins with the text, then the rest, by code. */
export async function selectFound(tx: TenantTransaction, asked: Asked): Promise<FoundRow[]> {
  const perKind = asked.kinds.map(
    (kind) => `(SELECT '${kind}' AS kind, id, code, name, place, starts_on FROM (${sources[kind]}) AS source
                 WHERE ${plain('words')} ILIKE ALL ($2::text[])
                 ORDER BY CASE WHEN lower(code) = lower($3) THEN 0 WHEN code ILIKE $4 THEN 1 WHEN ${plain('name')} ILIKE $4 THEN 2 ELSE 3 END, code, id
                 LIMIT $6)`,
  );
  const { rows } = await tx.sql<FoundRow>(perKind.join(' UNION ALL '), [tx.tenantId, asked.words, asked.text, asked.prefix, asked.today, asked.limit]);
  return rows;
}
