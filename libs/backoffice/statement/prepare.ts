import { formatInstant } from '#contracts/format';
import type { TenantTransaction } from '#database/tenant';
import { addDays, type LocalDate } from '#domain/calendar/local-date';
import type { CanonicalValue } from '#domain/evidence/canonical-json';
import type { SettlementInputs } from '#domain/settlement/inputs';
import type { SettlementResult } from '#domain/settlement/result';
import type { RecentPeriod, StatementDocument } from '#statement/document';
import { statementFromSettlement, type StatementFacts } from '#statement/from-settlement';
import type { EarlierHead } from '#statement/settlement-mapping';
import { languageOf } from '#statement/words/languages';
import type { StatementWords } from '#statement/words/words';
import { formatDate } from '#statement/words/format';
import type { LateCause } from '../agreement/late-change.sql';
import { partiesWithAccount } from '../bank-detail/bank-detail.sql';
import { consistencyOf } from '../evidence/read';
import { settlementDocumentText } from '../settlement/document';
import { groupBy } from '../settlement/inputs/group-by';
import { readInputs, readResult } from '../settlement/inputs/stored';
import { readCountedWithoutReading, readEarlier, readEarlierHeads, readGames, readMeterReadings, readNumbered, readNumbers, readPartyNames, readRecent, type EarlierRow, type MeterReadingRow, type NumberedRow, type RecentRow } from './facts.sql';

/** A settlement whose statement can be rendered. `document` is made when it is asked for, so that one at a time is held. */
export type PreparedStatement = { readonly settlementId: string; readonly number: string; readonly isStamped: boolean; readonly document: () => StatementDocument };

type Read = { readonly row: NumberedRow; readonly inputs: SettlementInputs; readonly result: SettlementResult };

/** Proofs that were made already, by the sizes of their two heads: a batch is prepared a few at a time, and its heads are few. */
export type KnownProofs = Map<string, string[]>;

/** Reads what the statements of some numbered settlements say, in a fixed number of queries and one for each distinct pair of heads. Those with a statement already are left out. */
export async function prepareStatements(tx: TenantTransaction, settlementIds: readonly string[], proofs: KnownProofs = new Map()): Promise<PreparedStatement[]> {
  const read = (await readNumbered(tx, settlementIds)).map((row): Read => ({ row, inputs: readInputs(row.inputs), result: readResult(row.result) }));
  if (read.length === 0) return [];
  const names = await readPartyNames(tx, [...new Set(read.flatMap(({ result }) => result.parties.map((party) => party.party)))]);
  const games = groupBy(
    await readGames(tx, read.flatMap(({ row, inputs }) => inputs.current.machines.map((machine) => ({ settlementId: row.id, machineId: machine.id, before: row.ends_before })))),
    (game) => game.settlement_id,
  );
  const earlier = groupBy(
    await readEarlier(tx, read.flatMap(({ row, inputs }) => inputs.earlier.map(({ inputs: { period } }) => ({ settlementId: row.id, periodId: period.id })))),
    (each) => each.settlement_id,
  );
  const heads = await readEarlierProofs(tx, read.map(({ row }) => row), proofs);
  const recent = groupBy(await readRecent(tx, read.map(({ row }) => row.id)), (each) => each.settlement_id);
  const counts = read.flatMap(({ row, inputs }) => inputs.current.counts.map(({ id }) => ({ settlementId: row.id, countId: id })));
  const notRead = groupBy(await readCountedWithoutReading(tx, counts), (each) => each.settlement_id);
  const readings = groupBy(await readMeterReadings(tx, counts), (each) => each.settlement_id);
  const withAccount = await partiesWithAccount(tx, [...new Set(read.map(({ row }) => row.payee_id))]);
  const numbers = await readNumbers(tx, [...new Set(read.flatMap(({ inputs }) => inputs.carriedItems.map((item) => settlementOf(item.id))))]);
  return read.map((each) => ({
    settlementId: each.row.id,
    number: each.row.number,
    isStamped: each.row.statements_stamped,
    document: () =>
      statementFromSettlement(each, factsOf(each, { operatorId: tx.tenantId, names, numbers, games: games.get(each.row.id) ?? [], earlierHead: heads.get(each.row.id), earlier: earlier.get(each.row.id) ?? [], recent: recent.get(each.row.id) ?? [], notRead: notRead.get(each.row.id) ?? [], readings: readings.get(each.row.id) ?? [], hasAccount: withAccount.has(each.row.payee_id) })),
  }));
}

/** The head on each one's statement before, with the proof. Statements of one month share few heads, so each proof is made once. */
async function readEarlierProofs(tx: TenantTransaction, rows: readonly NumberedRow[], proofs: KnownProofs): Promise<ReadonlyMap<string, EarlierHead>> {
  const newer = new Map(rows.map((row) => [row.id, Number(row.log_size)]));
  const heads = new Map<string, EarlierHead>();
  for (const row of await readEarlierHeads(tx, rows.map(({ id }) => id))) {
    const older = { size: Number(row.log_size), root: row.log_root };
    const newerSize = newer.get(row.settlement_id) ?? 0;
    const key = `${older.size}/${newerSize}`;
    const proof = proofs.get(key) ?? (await consistencyOf(tx, { older, newerSize }));
    proofs.set(key, proof);
    heads.set(row.settlement_id, { statementNumber: row.number, size: older.size, root: row.log_root.toString('hex'), proof });
  }
  return heads;
}

type Beside = {
  readonly operatorId: string;
  readonly names: ReadonlyMap<string, string>;
  readonly numbers: ReadonlyMap<string, string>;
  readonly games: readonly { machine_id: string; title: string }[];
  readonly earlier: readonly EarlierRow[];
  readonly recent: readonly RecentRow[];
  readonly notRead: readonly { machine_id: string }[];
  readonly readings: readonly MeterReadingRow[];
  /** Whether the payee is paid to a bank account. */
  readonly hasAccount: boolean;
  readonly earlierHead: EarlierHead | undefined;
};

function recentOf(row: RecentRow): RecentPeriod {
  return { firstDay: row.starts_on, lastDay: addDays(row.ends_before, -1), takingsMinor: row.net_takings_minor, payableMinor: row.payable_minor };
}

function factsOf({ row, inputs, result }: Read, beside: Beside): StatementFacts {
  const text = settlementDocumentText({ settlementId: row.id, number: row.number, issuedOn: row.issued_on, inputsText: row.inputs, resultText: row.result });
  const { words } = languageOf(row.payee_locale);
  return {
    operator: { name: row.operator_name, addressLines: row.operator_address },
    site: { name: row.site_name, addressLines: row.site_address, code: row.site_code },
    payee: { name: row.payee_name, addressLines: row.payee_address, partyId: row.payee_id },
    partyNames: new Map(result.parties.map(({ party, role }) => [party, role === 'operator' ? row.operator_name : (beside.names.get(party) ?? party)])),
    games: new Map(beside.games.map((game) => [game.machine_id, game.title])),
    statementNumber: row.number,
    issuedOn: row.issued_on as LocalDate,
    issuedAt: formatInstant(row.numbered_at),
    locale: row.payee_locale,
    paper: row.paper,
    earlierStatements: new Map(beside.earlier.map((each) => [each.period_id, { statementNumber: each.number ?? '-', reason: reasonOf(each.causes, words) }])),
    carriedFrom: new Map(inputs.carriedItems.map((item) => [item.id, words.statement(beside.numbers.get(settlementOf(item.id)) ?? '').trim()])),
    ...(beside.readings.length === 0 ? {} : { readings: beside.readings.map(readingsOf) }),
    ...paymentOf({ row, result }, beside),
    recent: beside.recent.map(recentOf),
    ...(row.verification_address === null ? {} : { verificationAddress: row.verification_address }),
    ...(row.standing_salt === null ? {} : { standing: { operatorId: beside.operatorId, salt: row.standing_salt.toString('hex') } }),
    ...(row.statements_stamped ? { isStamped: true as const } : {}),
    ...(beside.notRead.length === 0 ? {} : { notRead: new Set(beside.notRead.map((row) => row.machine_id)) }),
    evidence: { headSize: Number(row.log_size), headRoot: row.log_root.toString('hex'), settlementDigest: row.digest.toString('hex') },
    settlement: JSON.parse(text) as CanonicalValue,
    ...(beside.earlierHead === undefined ? {} : { earlierHead: beside.earlierHead }),
  };
}

function readingsOf(row: MeterReadingRow): NonNullable<StatementFacts['readings']>[number] {
  const { machine_id: machineId, label: meter, before_value: beforeValue, last_value: lastValue, read_on: readOn } = row;
  return { machineId, meter, lastValue, readOn, ...(beforeValue === null ? {} : { beforeValue }) };
}

/** How it is paid: in cash where the terms name a coin, else to the account of the payee, where there is one; and until when, where the operator says so. */
function paymentOf({ row, result }: Pick<Read, 'row' | 'result'>, { hasAccount }: Beside): Pick<StatementFacts, 'payment'> {
  const payable = result.payables.find(({ party }) => party === row.payee_id);
  const language = languageOf(row.payee_locale);
  const { payment } = language.words;
  const by = row.payment_days === null ? undefined : formatDate(addDays(row.issued_on as LocalDate, row.payment_days), language);
  const how = (payable?.cashPayment ?? null) !== null ? 'cash' : hasAccount ? 'bank' : undefined;
  const text = payable?.outcome === 'owed' ? (by === undefined ? undefined : payment.byPayee(by)) : payment.toPayee({ how, by });
  return text === undefined ? {} : { payment: text };
}

/** A period without a change of its own is settled again because of one before it. */
function reasonOf(causes: readonly LateCause[], { earlier: { reasons } }: StatementWords): string {
  if (causes.length === 0) return reasons.before;
  return causes.map((cause) => reasons[cause]).join(' ');
}

/** Carried items are named after the settlement that carried them and the payee. */
function settlementOf(itemId: string): string {
  return itemId.split('/')[0] ?? itemId;
}
