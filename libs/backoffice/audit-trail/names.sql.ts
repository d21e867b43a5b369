import type { TenantTransaction } from '#database/tenant';

const own = (table: string, column: string): string => `SELECT x.id, x.${column} AS name FROM ${table} x WHERE x.tenant_id = $1 AND x.id = ANY ($2::uuid[])`;
/** By the name of what it belongs to: `column` of the thing names a row of `other`. */
const ofOther = (table: string, column: string, other: string, name: string): string =>
  `SELECT x.id, o.${name} AS name FROM ${table} x JOIN ${other} o ON o.tenant_id = x.tenant_id AND o.id = x.${column} WHERE x.tenant_id = $1 AND x.id = ANY ($2::uuid[])`;

/** How a thing of each kind is called, for those that have an id and a name, of their own or of what they belong to. */
export const namesOf: Readonly<Record<string, string>> = {
  advance: ofOther('advance', 'party_id', 'party', 'name'),
  agreement: own('agreement', 'code'),
  agreement_version: ofOther('agreement_version', 'agreement_id', 'agreement', 'code'),
  audit_file: ofOther('audit_file', 'machine_id', 'machine', 'tag'),
  bank_detail: ofOther('bank_detail', 'party_id', 'party', 'name'),
  box_metered: ofOther('box_metered', 'machine_id', 'machine', 'tag'),
  cash_move: ofOther('cash_move', 'fund_id', 'change_fund', 'code'),
  change_fund: own('change_fund', 'code'),
  collection: ofOther('collection', 'site_id', 'site', 'name'),
  collection_rhythm: ofOther('collection_rhythm', 'site_id', 'site', 'name'),
  collection_round: own('collection_round', 'name'),
  collector_device: own('collector_device', 'name'),
  counter_board: ofOther('counter_board', 'machine_id', 'machine', 'tag'),
  game: own('game', 'title'),
  import_file: own('import_file', 'file_name'),
  installation: ofOther('installation', 'machine_id', 'machine', 'tag'),
  key_case: ofOther('key_case', 'key_code_id', 'key_code', 'code'),
  key_code: own('key_code', 'code'),
  key_copy: own('key_copy', 'number'),
  key_custodian: ofOther('key_custodian', 'person_id', 'person', 'name'),
  key_exception: own('key_exception', 'label'),
  key_inventory: ofOther('key_inventory', 'key_store_id', 'key_store', 'name'),
  key_place: own('key_place', 'name'),
  key_place_responsible: ofOther('key_place_responsible', 'person_id', 'person', 'name'),
  key_place_user: ofOther('key_place_user', 'person_id', 'person', 'name'),
  key_ring: own('key_ring', 'code'),
  key_store: own('key_store', 'name'),
  law_limit: ofOther('law_limit', 'tax_area_id', 'tax_area', 'name'),
  machine: own('machine', 'tag'),
  machine_lock: ofOther('machine_lock', 'machine_id', 'machine', 'tag'),
  machine_token: ofOther('machine_token', 'machine_id', 'machine', 'tag'),
  meter: ofOther('meter', 'machine_id', 'machine', 'tag'),
  meter_not_read: ofOther('meter_not_read', 'machine_id', 'machine', 'tag'),
  meter_reading_try: ofOther('meter_reading_try', 'machine_id', 'machine', 'tag'),
  outage: ofOther('outage', 'machine_id', 'machine', 'tag'),
  party: own('party', 'name'),
  person: own('person', 'name'),
  placement: ofOther('placement', 'machine_id', 'machine', 'tag'),
  settlement_reversal: ofOther('settlement_reversal', 'settlement_id', 'settlement', 'number'),
  site: own('site', 'name'),
  tax_area: own('tax_area', 'name'),
  tax_rule: own('tax_rule', 'code'),
  taxpayer_number: ofOther('taxpayer_number', 'party_id', 'party', 'name'),
  tolerance_rule_set: own('tolerance_rule_set', 'name'),
  webhook: own('webhook', 'name'),
  webhook_secret: ofOther('webhook_secret', 'webhook_id', 'webhook', 'name'),
  write_off: ofOther('write_off', 'party_id', 'party', 'name'),
};

const UUID = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/;

/** What these things are called now, by kind and id: `site <id>`. What was removed, and what has no name, is not in it. */
export async function selectNames(tx: TenantTransaction, things: readonly { readonly kind: string; readonly id: string }[]): Promise<Map<string, string>> {
  const found = new Map<string, string>();
  for (const kind of new Set(things.map((thing) => thing.kind))) {
    const statement = namesOf[kind];
    const ids = [...new Set(things.filter((thing) => thing.kind === kind && UUID.test(thing.id)).map(({ id }) => id))];
    if (statement === undefined || ids.length === 0) continue;
    const { rows } = await tx.sql<{ id: string; name: string | null }>(statement, [tx.tenantId, ids]);
    for (const { id, name } of rows) if (name !== null && name !== '') found.set(`${kind} ${id}`, name);
  }
  return found;
}
