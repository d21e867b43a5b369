import { writeFileSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { ChartOfAccounts, JournalAccount, JournalEntryBody, TrialBalance } from '#contracts/journal';
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
    const holders = new Map((await trialBalance('2026-04-30')).accounts.map((account) => [account.code.split(':')[0], account.holderName]));
    expect([holders.get('cash-in-counting-room'), typeof holders.get('takings-to-settle')]).toEqual([null, 'string']);
  });
});

describe('the movement of some days', () => {
  const of = async (query: string): Promise<TrialBalance> => (await office.get(`/v1/journal/trial-balance?${query}`).expect(200)).body as TrialBalance;

  it('leads from the opening balance to the balance, which both sum to zero', async () => {
    const march = await of('on=2026-03-31');
    const april = await of('from=2026-04-01&on=2026-04-30');
    for (const account of april.accounts) {
      expect(minor(account.opening) + minor(account.debits) - minor(account.credits)).toBe(minor(account.balance));
      const before = march.accounts.find((each) => each.code === account.code && each.balance.currency === account.balance.currency);
      expect(account.opening.amount).toBe(before?.balance.amount ?? (account.balance.currency === 'JPY' ? '0' : '0.00'));
    }
    for (const column of ['opening', 'balance'] as const) {
      for (const currency of ['USD', 'JPY']) {
        const own = april.accounts.filter((account) => account.balance.currency === currency);
        expect(own.length).toBeGreaterThan(1);
        expect(own.reduce((sum, account) => sum + minor(account[column]), 0n)).toBe(0n);
      }
    }
    expect(april.accounts.some((account) => minor(account.opening) !== 0n && minor(account.debits) !== 0n)).toBe(true);
  });

  it('is refused backwards, and closed to all but owner, bookkeeper and auditor', async () => {
    const backwards = await office.get('/v1/journal/trial-balance?from=2026-05-01&on=2026-04-30').expect(400);
    expect(backwards.body.errors).toMatchObject([{ in: 'query', pointer: 'from', code: 'after-on' }]);
    for (const role of ['owner', 'bookkeeper', 'auditor'] as const) await api.operator.as(role).get('/v1/journal/trial-balance?on=2026-04-30').expect(200);
    for (const role of ['reviewer', 'collector', 'custodian', 'site-manager'] as const) {
      for (const path of ['trial-balance?on=2026-04-30', 'entries', 'accounts', 'chart', 'export?format=csv&from=2026-03-01&to=2026-03-31']) {
        expect([path, (await api.operator.as(role).get(`/v1/journal/${path}`)).status]).toEqual([path, 403]);
      }
    }
  });
});

describe('the chart and the accounts', () => {
  it('say of every account what it is for', async () => {
    const chart = ((await office.get('/v1/journal/chart').expect(200)).body as ChartOfAccounts).accounts;
    expect(new Set(chart.map((account) => account.meaning)).size).toBe(chart.length);
    for (const { code, name, kind, meaning } of chart) {
      expect([code, name.split(':').length > 1, meaning.length > 20, meaning.endsWith('.')]).toEqual([code, true, true, true]);
      expect(name.startsWith({ asset: 'assets', liability: 'liabilities', income: 'income', expense: 'expenses' }[kind])).toBe(true);
    }
  });

  it('are listed page by page, all that the trial balance names', async () => {
    const found: JournalAccount[] = [];
    let next: string | null = '';
    while (next !== null) {
      const page = (await office.get(`/v1/journal/accounts?limit=2${next === '' ? '' : `&cursor=${next}`}`).expect(200)).body as { items: JournalAccount[]; next: string | null };
      found.push(...page.items);
      next = page.next;
    }
    const used = new Set((await trialBalance('2026-12-31')).accounts.map((account) => account.code));
    expect(new Set(found.map((account) => account.code))).toEqual(used);
    const payable = (await office.get('/v1/journal/accounts?chartCode=payable-to-payee').expect(200)).body as { items: JournalAccount[] };
    expect(payable.items.map((account) => account.chartCode)).toEqual(['payable-to-payee', 'payable-to-payee']);
    const unknown = await office.get('/v1/journal/accounts?chartCode=purse').expect(400);
    expect(unknown.body.errors).toMatchObject([{ in: 'query', pointer: 'chartCode' }]);
  });
});

describe('the entries', () => {
  type Entries = { items: JournalEntryBody[]; next: string | null };
  const entries = async (query: string): Promise<Entries> => (await office.get(`/v1/journal/entries?${query}`).expect(200)).body as Entries;

  it('are listed by days, each of them balanced, with nothing twice and nothing missing between pages', async () => {
    const all = (await entries('from=2026-03-01&to=2026-03-31&limit=200')).items;
    expect(all.map((entry) => entry.kind).sort()).toEqual([...Array<string>(3).fill('collection-accepted'), ...Array<string>(2).fill('settlement-issued')]);
    for (const entry of all) expect(entry.postings.reduce((sum, posting) => sum + minor(posting.amount), 0n)).toBe(0n);
    const paged: JournalEntryBody[] = [];
    let next: string | null = '';
    while (next !== null) {
      const page: Entries = await entries(`from=2026-03-01&to=2026-03-31&limit=2${next === '' ? '' : `&cursor=${next}`}`);
      paged.push(...page.items);
      next = page.next;
    }
    expect(paged).toEqual(all);
    expect([...all].sort((first, second) => (first.date < second.date ? -1 : first.date > second.date ? 1 : 0)).map((entry) => entry.date)).toEqual(all.map((entry) => entry.date));
  });

  it('lead back to their source, with the number that people know it by', async () => {
    const [issued] = (await entries('from=2026-03-31&to=2026-03-31')).items.filter((entry) => entry.kind === 'settlement-issued');
    const bySource = (await entries(`sourceId=${issued?.sourceId ?? ''}`)).items;
    expect(bySource).toEqual([issued]);
    const settlement = await office.get(`/v1/settlements/${issued?.sourceId ?? ''}`).expect(200);
    expect(settlement.body.number).toBe(issued?.reference);
  });

  it('are refused in days that run backwards, and after a cursor of another list', async () => {
    const backwards = await office.get('/v1/journal/entries?from=2026-03-31&to=2026-03-01').expect(400);
    expect(backwards.body.errors).toMatchObject([{ in: 'query', pointer: 'to', code: 'before-from' }]);
    const stray = await office.get(`/v1/journal/entries?cursor=${Buffer.from('["x"]').toString('base64url')}`).expect(400);
    expect(stray.body.code).toBe('invalid-cursor');
  });
});

/** An entry of nothing that states every balance as both programs check it: `0 USD = 12.34 USD`. */
const assertions = (on: string, { accounts }: TrialBalance): string =>
  ['', `${on} * balances`, ...accounts.map(({ name, balance }) => `    ${name}  0 ${balance.currency} = ${balance.amount} ${balance.currency}`), ''].join('\n');
const days = ['2026-03-10', '2026-03-12', '2026-03-20', '2026-03-31', '2026-04-10', '2026-04-30'];

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

describeWithProgram('hledger', 'hledger, at every day', () => {
  it('finds the balances that the trial balance states, and not others', async () => {
    const path = join(folder, 'asserted.journal');
    for (const on of days) {
      const journal = await exported(`format=plain&from=2026-01-01&to=${on}`);
      const balance = await trialBalance(on);
      writeFileSync(path, journal + assertions(on, balance));
      const check = runProgram('hledger', ['check', '--strict', '-f', path]);
      expect([on, check.exitCode, check.stderr]).toEqual([on, 0, '']);
      const [first, ...others] = balance.accounts;
      if (first === undefined) throw new Error('nothing to assert');
      const off = { ...first, balance: { ...first.balance, amount: `${first.balance.amount.slice(0, -1)}${first.balance.amount.endsWith('7') ? '8' : '7'}` } };
      writeFileSync(path, journal + assertions(on, { ...balance, accounts: [off, ...others] }));
      expect([on, runProgram('hledger', ['check', '--strict', '-f', path]).exitCode]).not.toEqual([on, 0]);
    }
  });
});

describeWithProgram('ledger', 'ledger', () => {
  it('finds the balances that the trial balance states at every day', async () => {
    const path = join(folder, 'asserted-too.journal');
    for (const on of days) {
      writeFileSync(path, (await exported(`format=plain&from=2026-01-01&to=${on}`)) + assertions(on, await trialBalance(on)));
      const run = runProgram('ledger', ['--pedantic', '-f', path, 'balance']);
      expect([on, run.exitCode, run.stderr]).toEqual([on, 0, '']);
    }
  });

  it('accepts the plain-text journal pedantically', async () => {
    const path = join(folder, 'pedantic.journal');
    writeFileSync(path, await exported('format=plain&from=2026-01-01&to=2026-12-31'));
    const run = runProgram('ledger', ['--pedantic', '-f', path, 'balance']);
    expect([run.exitCode, run.stderr]).toEqual([0, '']);
  });
});
