import { formatInstant } from '#contracts/format';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CanonicalValue } from '#domain/evidence/canonical-json';
import type { SettlementInputs } from '#domain/settlement/inputs';
import type { SettlementResult } from '#domain/settlement/result';
import type { StatementDocument } from '#statement/document';
import { statementFromSettlement, type StatementFacts } from '#statement/from-settlement';
import type { LateCause } from '../agreement/late-change.sql';
import { settlementDocumentText } from '../settlement/document';
import { groupBy } from '../settlement/inputs/group-by';
import { readInputs, readResult } from '../settlement/inputs/stored';
import { readEarlier, readGames, readNumbered, readNumbers, readPartyNames, type EarlierRow, type NumberedRow } from './facts.sql';

/** A settlement whose statement can be rendered. `document` is made when it is asked for, so that one at a time is held. */
export type PreparedStatement = { readonly settlementId: string; readonly number: string; readonly document: () => StatementDocument };

type Read = { readonly row: NumberedRow; readonly inputs: SettlementInputs; readonly result: SettlementResult };

/** Reads what the statements of some numbered settlements say, in six queries. Those with a statement already are left out. */
export async function prepareStatements(tx: TenantTransaction, settlementIds: readonly string[]): Promise<PreparedStatement[]> {
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
  const numbers = await readNumbers(tx, [...new Set(read.flatMap(({ inputs }) => inputs.carriedItems.map((item) => settlementOf(item.id))))]);
  return read.map((each) => ({
    settlementId: each.row.id,
    number: each.row.number,
    document: () =>
      statementFromSettlement(each, factsOf(each, { names, numbers, games: games.get(each.row.id) ?? [], earlier: earlier.get(each.row.id) ?? [] })),
  }));
}

type Beside = {
  readonly names: ReadonlyMap<string, string>;
  readonly numbers: ReadonlyMap<string, string>;
  readonly games: readonly { machine_id: string; title: string }[];
  readonly earlier: readonly EarlierRow[];
};

function factsOf({ row, inputs, result }: Read, beside: Beside): StatementFacts {
  const text = settlementDocumentText({ settlementId: row.id, number: row.number, issuedOn: row.issued_on, inputsText: row.inputs, resultText: row.result });
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
    earlierStatements: new Map(beside.earlier.map((each) => [each.period_id, { statementNumber: each.number ?? '-', reason: reasonOf(each.causes) }])),
    carriedFrom: new Map(inputs.carriedItems.map((item) => [item.id, `Statement ${beside.numbers.get(settlementOf(item.id)) ?? ''}`.trim()])),
    cautions: [],
    evidence: { headSize: Number(row.log_size), headRoot: row.log_root.toString('hex'), settlementDigest: row.digest.toString('hex') },
    settlement: JSON.parse(text) as CanonicalValue,
  };
}

const reasons: { readonly [cause in LateCause]: string } = {
  collection: 'A collection came late.',
  correction: 'A recorded figure was corrected.',
  handed: 'Cash handed over was corrected.',
  cashless: 'Card takings came late.',
  'break-in': 'A break-in was recorded late.',
  end: 'The agreement ended within the period.',
  terms: 'The terms were corrected backwards.',
  tax: 'A tax rule was corrected backwards.',
};

/** A period without a change of its own is settled again because of one before it. */
function reasonOf(causes: readonly LateCause[]): string {
  if (causes.length === 0) return 'A period before it changed.';
  return causes.map((cause) => reasons[cause]).join(' ');
}

/** Carried items are named after the settlement that carried them and the payee. */
function settlementOf(itemId: string): string {
  return itemId.split('/')[0] ?? itemId;
}
