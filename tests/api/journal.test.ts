import { writeFileSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { TrialBalance } from '#contracts/journal';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, issueMonth } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment, usd } from '#tests/support/collecting';
import { describeWithProgram, runProgram } from '#tests/support/outside-program';
import { makeParty, makeRunningSite, plainTerms } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
let folder: string;
const yen = (amount: string) => ({ amount, currency: 'JPY' });

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'journal-'));
  api = await startTestApi({ now: '2026-05-02T15:00:00Z' });
  office = api.operator.as('bookkeeper');
  const dollars = await makeRunningSite(office);
  const party = await makeParty(office);
  const terms = plainTerms({ partyId: party.id, currency: 'JPY' });
  const yens = await makeRunningSite(office, { site: { currency: 'JPY', timeZone: 'Asia/Tokyo' }, agreement: { partyId: party.id, terms } });
  for (const [day, coin] of [['2026-03-10', '100.01'], ['2026-03-20', '77.77'], ['2026-04-10', '55.55']] as const) {
    const refunds = [{ machineTag: dollars.machine['tag'], refundedOn: '2026-03-04', amount: usd('1.25'), paidBy: 'operator' }];
    await makeAcceptedCollection(office, dollars.site, [count(dollars.machine, coin, '20.00')], { happenedAt: moment(day), refunds, cashHanded: [{ amount: usd('3.33') }] });
  }
  await makeAcceptedCollection(office, yens.site, [{ machineTag: yens.machine['tag'], coin: yen('1001'), note: yen('5000') }], { happenedAt: '2026-03-12T12:00:00+09:00' });
  await issueMonth(api, (await closeMonth(api, '2026-03-01')).id);
  await issueMonth(api, (await closeMonth(api, '2026-04-01')).id);
});
afterAll(async () => {
  rmSync(folder, { recursive: true });
  await api?.close();
});

const exported = async (query: string): Promise<string> => {
  const answer = await office.get(`/v1/journal/export?${query}`).buffer(true).parse((response, give) => {
    const chunks: Buffer[] = [];
    response.on('data', (chunk: Buffer) => chunks.push(chunk)).on('end', () => give(null, Buffer.concat(chunks)));
  });
  expect(answer.status).toBe(200);
  return (answer.body as Buffer).toString('utf8');
};
const trialBalance = async (on: string): Promise<TrialBalance> => (await office.get(`/v1/journal/trial-balance?on=${on}`).expect(200)).body as TrialBalance;
const minor = (money: { amount: string }): bigint => BigInt(money.amount.replace('.', ''));

describe('the trial balance', () => {
  it('has equal sides at every day', async () => {
    for (const on of ['2026-03-09', '2026-03-10', '2026-03-31', '2026-04-30', '2026-12-31']) {
      const { accounts, totals } = await trialBalance(on);
      for (const total of totals) {
        expect(total.debits).toEqual(total.credits);
        const own = accounts.filter((account) => account.balance.currency === total.currency).map((account) => minor(account.balance));
        expect(own.reduce((sum, each) => sum + each, 0n)).toBe(0n);
      }
    }
  });

  it('has nothing left to settle at the end of a settled month, and everything before', async () => {
    const toSettle = async (on: string): Promise<bigint> =>
      (await trialBalance(on)).accounts.filter((account) => account.code.startsWith('takings-to-settle:') && account.balance.currency === 'USD').reduce((sum, account) => sum + minor(account.balance), 0n);
    expect(await toSettle('2026-03-30')).toBe(-(12_001n + 9_777n));
    expect(await toSettle('2026-03-31')).toBe(0n);
    expect(await toSettle('2026-04-10')).toBe(-7_555n);
  });

  it('names accounts by the codes that people know', async () => {
    const names = (await trialBalance('2026-04-30')).accounts.map((account) => account.name);
    expect(names).toEqual(expect.arrayContaining(['assets:cash:counting room', expect.stringMatching(/^liabilities:payable:P-\d+$/)]));
  });
});

describe('the export', () => {
  it('as CSV has strict decimals in its numeric columns, which add up', async () => {
    const [header, ...lines] = (await exported('format=csv&from=2026-03-01&to=2026-04-30')).trimEnd().split('\r\n');
    const columns = header?.split(',') ?? [];
    expect(columns).toEqual(['date', 'entry', 'kind', 'reference', 'source', 'line', 'account', 'account_name', 'currency', 'debit', 'credit', 'amount']);
    const sums = new Map<string, bigint>();
    for (const line of lines) {
      const cells = line.split(',');
      const cell = (name: string): string => cells[columns.indexOf(name)] ?? '';
      expect(cells).toHaveLength(columns.length);
      expect(cell('amount')).toMatch(cell('currency') === 'JPY' ? /^-?\d+$/ : /^-?\d+\.\d\d$/);
      for (const side of ['debit', 'credit']) expect(cell(side)).toMatch(/^(|\d+(\.\d\d)?)$/);
      expect([cell('debit') === '', cell('credit') === '']).toContain(true);
      sums.set(cell('entry'), (sums.get(cell('entry')) ?? 0n) + BigInt(cell('amount').replace('.', '')));
    }
    expect(sums.size).toBeGreaterThan(4);
    expect([...sums.values()].every((sum) => sum === 0n)).toBe(true);
  });

  it('holds the days asked for, the last included', async () => {
    const dates = (text: string): string[] => [...new Set(Array.from(text.matchAll(/^(\d{4}-\d\d-\d\d) \*/gm), ([, date]) => date ?? ''))];
    expect(dates(await exported('format=plain&from=2026-03-20&to=2026-03-31'))).toEqual(['2026-03-20', '2026-03-31']);
    expect(dates(await exported('format=plain&from=2026-05-01&to=2026-05-31'))).toEqual([]);
    const backwards = await office.get('/v1/journal/export?format=plain&from=2026-03-31&to=2026-03-01').expect(400);
    expect(backwards.body.errors).toMatchObject([{ in: 'query', pointer: 'to', code: 'before-from' }]);
  });
});

describeWithProgram('hledger', 'hledger', () => {
  it('accepts the plain-text journal strictly, and has the balances that the program has', async () => {
    const path = join(folder, 'books.journal');
    writeFileSync(path, await exported('format=plain&from=2026-01-01&to=2026-12-31'));
    const check = runProgram('hledger', ['check', '--strict', '-f', path]);
    expect([check.exitCode, check.stderr]).toEqual([0, '']);
    const report = runProgram('hledger', ['balance', '-f', path, '--flat', '--no-total', '--empty', '--output-format', 'csv']);
    const theirs = new Map<string, string>();
    for (const line of report.stdout.trimEnd().split('\n').slice(1)) {
      const [, account = '', amounts = ''] = /^"([^"]+)","([^"]*)"$/.exec(line) ?? [];
      for (const amount of amounts.split(', ')) if (!/^0(\.00)?( |$)/.test(amount)) theirs.set(`${account} ${amount.split(' ')[1] ?? ''}`, amount);
    }
    const ours = new Map<string, string>();
    for (const { name, balance } of (await trialBalance('2026-12-31')).accounts) {
      if (minor(balance) !== 0n) ours.set(`${name} ${balance.currency}`, `${balance.amount} ${balance.currency}`);
    }
    expect(ours.size).toBeGreaterThan(4);
    expect(Object.fromEntries(theirs)).toEqual(Object.fromEntries(ours));
  });
});

describeWithProgram('ledger', 'ledger', () => {
  it('accepts the plain-text journal pedantically', async () => {
    const path = join(folder, 'pedantic.journal');
    writeFileSync(path, await exported('format=plain&from=2026-01-01&to=2026-12-31'));
    const run = runProgram('ledger', ['--pedantic', '-f', path, 'balance']);
    expect([run.exitCode, run.stderr]).toEqual([0, '']);
  });
});
