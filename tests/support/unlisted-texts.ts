import type { Catalogue, CatalogueTable } from '#database/catalogue';

/**
 * Columns of text in which nobody writes sentences, and why, by column or by the name that it has everywhere. Of a new
 * column somebody decides: erasable (`app.make_texts_erasable` in its migration), or a line here. What ends in `_by` says
 * who acted, by id, in every table.
 */
const WITHOUT_FREE_TEXT: Readonly<Record<string, string>> = {
  currency: 'three letters of ISO 4217',
  class: 'of two classes of keys, from the cut',
  side: 'giver or receiver',
  locale: 'a language tag, RFC 5646',
  time_zone: 'a name of the time zone database',
  tokens: 'codes of tokens and how many',
  actor: 'who acted, by id',
  readings: 'labels of meters and what they showed',
  'identity.api_token.hint': 'first characters of a secret',
  'identity.api_token.scopes': 'names of scopes',
  'identity.one_use_link.role': 'a role',
  'agreement_version.terms': 'figures and labels that both sides signed; settlements are computed from their bytes',
  'audit_entry.request_id': 'an id',
  'audit_entry.row_id': 'the key of a row',
  'audit_entry.table_name': 'a name of the catalogue',
  'text_erasure.row_id': 'the key of a row',
  'cash_handed_signature.strokes': 'a drawing of somebody whom no id names: the receipt of cash',
  'collection_bag.number': 'printed on the bag',
  'refund_claim.number': 'printed on the slip',
  'collection_bag.seal': 'printed on the seal',
  'phone_visit.received_from': 'an address of the network',
  'box_tally.lines': 'denominations and how many',
  'field_count.tally': 'denominations and how many',
  'collection_bag_step.seal': 'printed on the seal',
  'collection_bag_correction.number': 'printed on the bag',
  'collection_bag_correction.seal': 'printed on the seal',
  'custody_signature.signature': 'goes as a whole with its person, not by name',
  'custody_signature.signed_name': 'goes as a whole with its person, not by name',
  'evidence_head_stamp.authority': 'the subject of a certificate',
  'evidence_head_stamp.policy': 'an object identifier',
  'evidence_head_stamp.serial_number': 'a number',
  'evidence_leaf.kind': 'of the kinds of entries',
  'audit_file.serial': 'of the maker',
  'audit_file.asset_number': 'a number of the machine',
  'audit_file.machine_clock': 'a day and time',
  'machine_event.fault': 'a code of the machine',
  'machine_fault_dismissal.fault': 'a code of the machine',
  'machine.serial_number': 'of the maker',
  'journal_entry.kind': 'of the kinds of entries',
  'settlement_event.kind': 'of the kinds of events',
  'settlement_line.kind': 'of the kinds of lines',
  'settlement_line.party': 'a role in the split',
  'settlement_line.step': 'a step of the waterfall',
  'game.title': 'the name of a game',
  'idempotency_record.body': 'an answer kept for 30 days: it follows the texts that it repeats',
  'idempotency_record.headers': 'headers of an answer',
  'idempotency_record.key': 'chosen by a program, kept for 30 days',
  'idempotency_record.route': 'a route',
  'import_error.code': 'a code',
  'import_error.column_name': 'a column of the file',
  'import_key_row.line': 'codes and tags of a file that waits',
  'import_file.delimiter': 'one character',
  'import_file.error_counts': 'codes and how many',
  'journal_account.code': 'of the chart of accounts',
  'journal_account.name': 'of the chart of accounts, which comes with the program',
  'journal_posting.account_code': 'of the chart of accounts',
  'operator.name': 'the business itself',
  'operator.address_lines': 'the business itself',
  'operator.settings': 'settings by name',
  'operator_data_key.master_key_id': 'the id of a key',
  'outbox.payload': 'ids of work to do',
  'party.name': 'goes with the party, by app.erase_party',
  'party.address': 'as party.name',
  'party.email': 'as party.name',
  'party_address_change.old_email': 'goes with the party, by eraseParty in libs/backoffice/party/erase.sql.ts',
  'party_address_change.new_email': 'as party_address_change.old_email',
  'bank_detail_payee_mail.email': 'as party_address_change.old_email',
  'site.name': 'a place of business',
  'site.address': 'a place of business',
  'person.name': 'goes with the person',
  'person.email': 'goes with the person',
  'tax_area.name': 'the name of an area',
  'tolerance_rule_set.name': 'the name of a rule',
  'settlement.carries': 'figures; hashed as a whole',
  'settlement.inputs': 'figures, and people by code; hashed as a whole',
  'settlement.result': 'figures; hashed as a whole',
  'settlement.engine_version': 'a version',
  'settlement.number': 'a statement number',
  'tax_return.carried': 'figures',
  'work_batch.key_missed': 'what a signing program said',
  'work_batch.stamp_missed': 'what was wrong with the answer of a time-stamp authority',
  'tax_return.figures': 'figures; hashed as a whole',
  'tax_rule.document': 'rates and bases; settlements are computed from them',
  'variance_flag_event.figures': 'figures',
  'variance_series.state': 'figures of a chart',
  'work_batch.failures': 'codes of problems and ids',
  'webhook.url': 'an address on the network',
  'webhook.event_types': 'kinds of events',
  'webhook_event.body': 'ids, codes and amounts, in bytes that were signed; kept for a time',
  'webhook_attempt.answer': 'what another program said; kept for a time',
};

/** Columns of text of which nobody decided whether a name may stand in them, and decisions about columns that are none. */
export function listUnlistedTexts(catalogue: Catalogue): string[] {
  const decided = new Set<string>();
  const unlisted = Object.entries(catalogue.tables).flatMap(([table, shape]) => {
    if (shape.columns['tenant_id'] === undefined) return [];
    const erasable = erasableColumns(shape);
    return Object.entries(shape.columns).flatMap(([column, type]) => {
      if (!/^(text|character|json)/.test(type)) return [];
      const name = `${table.replace(/^public\./, '')}.${column}`;
      const listed = [name, column].find((key) => WITHOUT_FREE_TEXT[key] !== undefined);
      const isConfined = column.endsWith('_by') || isConfinedByCheck(shape, column);
      if (listed !== undefined) decided.add(listed);
      if (erasable.includes(column)) return listed === undefined ? [] : [`${name} is erasable and listed as holding no free text`];
      return listed !== undefined || isConfined ? [] : [`${name} is neither erasable nor listed as holding no free text`];
    });
  });
  const stale = Object.keys(WITHOUT_FREE_TEXT).filter((key) => key.includes('.') && !decided.has(key)).map((key) => `${key} is listed and is no column of text`);
  return [...unlisted, ...stale];
}

function erasableColumns(table: CatalogueTable): string[] {
  return /only_texts_change\('\{([^}]*)\}'/.exec(table.triggers['only_texts_change'] ?? '')?.[1]?.split(',') ?? [];
}

/** A check that leaves nothing but a closed list, or the form of a code. */
function isConfinedByCheck(table: CatalogueTable, column: string): boolean {
  return Object.values(table.constraints).some((check) => ['= ANY (ARRAY[', '<@ ARRAY[', "~ '^", "= '"].some((form) => check.startsWith(`CHECK ((${column} ${form}`) && !check.includes(' OR ') && !check.startsWith(`CHECK ((${column} = ''`)));
}
