import { formatInstant } from '#contracts/format';
import { moneyOf } from '#contracts/money';
import type { Settlement, SettlementEvent, SettlementPreview, SettlementRow, SettlementState, SettlementTotals } from '#contracts/settlement';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import type { SettlementInputs } from '#domain/settlement/inputs';
import type { SettlementResult } from '#domain/settlement/result';
import { versionInForceAtEnd } from '#domain/settlement/settle';
import { plainTerms } from '#domain/terms/plain-language';
import { explainSettlement } from './compute';
import { explainedLines } from './explain/lines';
import { speechFor } from './explain/speech';
import { readInputs, readResult } from './inputs/stored';
import { readEvents, readNamesOf, type EventRow, type SettlementDetailRow, type SettlementHeadRow, type SettlementListRow } from './read.sql';
import type { SettlementFigures } from './save.sql';

/** A stored settlement as the API shows it, every figure with its explanation. `ownSites`: for a reader of the site's side. */
export async function settlementBody(tx: TenantTransaction, row: SettlementDetailRow, reader: { ownSites: boolean; language: string | undefined }): Promise<Settlement> {
  const inputs = readInputs(row.inputs);
  const stored = readResult(row.result);
  const explained = explainSettlement({ inputs, resultText: row.result, engineVersion: Number(row.engine_version) }) ?? stored;
  const events = await readEvents(tx, row.id);
  return {
    id: row.id,
    agreementId: row.agreement_id,
    siteId: row.site_id,
    siteCode: row.site_code,
    siteName: row.site_name,
    startsOn: row.starts_on as LocalDate,
    endsBefore: row.ends_before as LocalDate,
    kind: row.kind,
    currency: row.currency as CurrencyCode,
    totals: totalsBody(figuresIn(row), row.currency as CurrencyCode),
    ...(await readable(tx, { inputs, result: explained, language: reader.language })),
    engineVersion: Number(row.engine_version),
    revision: row.revision,
    state: row.state as SettlementState,
    number: row.number,
    accountingDate: row.accounting_date,
    history: events.filter((event) => !reader.ownSites || SHOWN_TO_THE_SITE.has(event.kind)).map((event) => historyOf(event, reader)),
    reversed: reversedOf(row, reader),
    digest: row.digest?.toString('hex') ?? null,
    statement: { available: row.statement_digest !== null, digest: row.statement_digest?.toString('hex') ?? null },
  };
}

function reversedOf(row: SettlementDetailRow, reader: { ownSites: boolean }): Settlement['reversed'] {
  if (row.reversed_at === null) return null;
  if (row.reversed_on === null) throw new Error('a reversal without its day in the books');
  const taken = { at: formatInstant(row.reversed_at), accountingDate: row.reversed_on };
  return reader.ownSites ? { ...taken, by: 'operator', reason: null } : { ...taken, by: row.reversed_by ?? '', reason: row.reversed_because };
}

/** What the worker does when somebody closes or issues; the row names whoever asked for it. A review is a person's, of many at once too. */
const DONE_BY_THE_PROGRAM: ReadonlySet<SettlementEvent> = new Set(['drafted', 'numbered', 'issued']);

const SHOWN_TO_THE_SITE: ReadonlySet<SettlementEvent> = new Set(['issued', 'reversed', 'questioned', 'answered']);

/** Notes and names of staff stay in the office, but for what the site has asked and was told. */
function historyOf(event: EventRow, reader: { ownSites: boolean }): Settlement['history'][number] {
  const { kind, note, happened_by: person } = event;
  const happenedAt = formatInstant(event.happened_at);
  if (reader.ownSites && kind === 'questioned') return { kind, note, happenedAt, happenedBy: person, orderedBy: null };
  if (reader.ownSites) return { kind, note: kind === 'answered' ? note : null, happenedAt, happenedBy: 'operator', orderedBy: null };
  if (DONE_BY_THE_PROGRAM.has(kind)) return { kind, note, happenedAt, happenedBy: 'system', orderedBy: person };
  return { kind, note, happenedAt, happenedBy: person, orderedBy: null };
}

/** The parts that need names: explained lines, and the terms in sentences. */
export async function readable(
  tx: TenantTransaction,
  { inputs, result, language }: { readonly inputs: SettlementInputs; readonly result: SettlementResult; readonly language: string | undefined },
): Promise<Pick<SettlementPreview, 'lines' | 'sentences'>> {
  const names = await readNamesOf(tx, result.parties.map((party) => party.party));
  const operatorId = result.parties.find((party) => party.role === 'operator')?.party;
  const partyName = (party: string): string => (party === operatorId ? names.operator : (names.parties.get(party) ?? party));
  const { terms } = versionInForceAtEnd(inputs.current);
  const speech = speechFor(language);
  return {
    lines: explainedLines({ inputs, result, partyName, speech }),
    sentences: plainTerms(terms, { ...speech.terms(inputs.currency), party: partyName }),
  };
}

export function totalsBody(figures: SettlementFigures, currency: CurrencyCode): SettlementTotals {
  const money = (minor: bigint): SettlementTotals['takings'] => moneyOf(minor, currency);
  return {
    takings: money(figures.takingsMinor),
    refunds: money(figures.refundsMinor),
    tax: money(figures.taxMinor),
    charges: money(figures.chargesMinor),
    operatorShare: money(figures.operatorShareMinor),
    siteShare: money(figures.siteShareMinor),
    earlier: money(figures.earlierMinor),
    payable: money(figures.payableMinor),
  };
}

export function settlementRowBody(row: SettlementListRow, { isSealed }: { readonly isSealed: boolean }): SettlementRow {
  const money = (minor: bigint): SettlementRow['takings'] => (isSealed ? null : moneyOf(minor, row.currency as CurrencyCode));
  return {
    id: row.id,
    agreementId: row.agreement_id,
    siteId: row.site_id,
    siteCode: row.site_code,
    siteName: row.site_name,
    startsOn: row.starts_on as LocalDate,
    endsBefore: row.ends_before as LocalDate,
    revision: row.revision,
    state: row.state as SettlementState,
    number: row.number,
    takings: money(row.takings_minor),
    siteShare: money(row.site_share_minor),
    payable: money(row.payable_minor),
    reversed: row.reversed,
    question: row.question,
  };
}

function figuresIn(row: SettlementHeadRow): SettlementFigures {
  return {
    takingsMinor: row.takings_minor,
    refundsMinor: row.refunds_minor,
    taxMinor: row.tax_minor,
    chargesMinor: row.charges_minor,
    operatorShareMinor: row.operator_share_minor,
    siteShareMinor: row.site_share_minor,
    earlierMinor: row.earlier_minor,
    payableMinor: row.payable_minor,
  };
}
