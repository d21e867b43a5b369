/** The exported journal as hledger and ledger read it: strictly, to the unit, and with the balances that the program has. */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { localDate } from '#domain/calendar/local-date';
import { advancePaid, collectionAccepted, paymentMade, reversed, settlementIssued } from '#domain/journal/entries';
import { plainTextJournal } from '#domain/journal/plain-text';
import type { JournalEntry } from '#domain/journal/types';
import type { CurrencyCode } from '#domain/money/currency';
import { formatMinor } from '#domain/money/amount';
import { settle } from '#domain/settlement/settle';
import { describeWithProgram, runProgram } from '#tests/support/outside-program';
import { charge, count, inputs, insideRule, period, site, slip, version } from '#tests/support/settlement-inputs';

const names = new Map([
  [site, 'Łódź: "Bar" (north);  & Söhne'],
  ['agreement', 'Kiosk | 3.5'],
  ['area', 'Σταθμός'],
  ['main', 'main'],
]);
const bank = { code: 'bank', holderId: 'main' } as const;

/** A month from the box to the bank, with a return of the payment, in one currency. */
function month(currency: CurrencyCode): JournalEntry[] {
  const head = (id: string, day: string) => ({ id: `${currency}-${id}`, date: localDate(day), currency, sourceId: `${id} ; of ${currency}` });
  const result = settle(
    inputs(
      period('2026-01-01', '2026-02-01', {
        versions: [version('2020-01-01', { currency, charges: [charge()], advances: { kind: 'fixed', amountMinor: 2000n } })],
        counts: [count('A', '2026-01-15', 123_457n)],
        refundSlips: [slip('A', '2026-01-15', 250n)],
        taxRules: [insideRule(['7', '0.5'])],
      }),
      {
        currency,
        handedCash: [{ id: 'h', party: site, collectionId: 'visit-2026-01-15', date: localDate('2026-01-15'), amountMinor: 700n, reason: 'handed' }],
        advances: [{ id: 'a', party: site, openMinor: 5000n }],
      },
    ),
  );
  const dueMinor = result.payables[0]?.amountMinor ?? 0n;
  const paid = paymentMade(head('payment', '2026-02-05'), { party: site, amountMinor: dueMinor, paidMinor: dueMinor + 1n, from: bank });
  return [
    advancePaid(head('advance', '2026-01-02'), { party: site, amountMinor: 5000n, from: bank }),
    collectionAccepted(head('collection', '2026-01-15'), {
      agreementId: 'agreement',
      countedMinor: 123_457n,
      handed: [{ party: site, amountMinor: 700n }],
      refundsByOperatorMinor: 0n,
    }),
    settlementIssued(head('settlement', '2026-01-31'), result),
    paid,
    reversed(head('return', '2026-02-07'), paid),
  ];
}

const entries = [...month('USD'), ...month('JPY'), ...month('KWD')];
const text = plainTextJournal({ entries, names });

/** Balances per account and currency as the program has them, written like the exported names. */
function ownBalances(): string[] {
  const sums = new Map<string, { minor: bigint; currency: CurrencyCode }>();
  const lines = text.split('\n').filter((line) => line.startsWith('    '));
  const postings = entries.flatMap((entry) => entry.postings.map((posting) => ({ currency: entry.currency, amountMinor: posting.amountMinor })));
  postings.forEach(({ currency, amountMinor }, index) => {
    const account = (lines[index] ?? '').trim().split('  ')[0] ?? '';
    const key = `${account}\t${currency}`;
    sums.set(key, { currency, minor: (sums.get(key)?.minor ?? 0n) + amountMinor });
  });
  return [...sums]
    .filter(([, { minor }]) => minor !== 0n)
    .map(([key, { minor, currency }]) => `${key}\t${formatMinor(minor, currency)}`)
    .sort();
}

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'journal-'));
  writeFileSync(join(folder, 'books.journal'), text);
  // The same books with one minor unit too much, and with an account that nobody declared.
  writeFileSync(
    join(folder, 'unbalanced.journal'),
    text.replace(/(takings to settle:\S.*  -?\d+\.\d)(\d) USD/, (_whole, before: string, last: string) => `${before}${(Number(last) + 1) % 10} USD`),
  );
  writeFileSync(join(folder, 'misspelt.journal'), text.replace('    assets:bank:main', '    assets:bnak:main'));
});
afterAll(() => rmSync(folder, { recursive: true }));

test('the two damaged copies differ from the books', () => {
  expect(text).toContain('assets:bank:main');
  expect(text).toMatch(/takings to settle:\S.*  -?\d+\.\d\d USD/);
});

describeWithProgram('hledger', 'hledger', () => {
  const hledger = (file: string, ...more: readonly string[]) => runProgram('hledger', ['-f', join(folder, file), ...more]);

  it('accepts the books strictly', () => {
    expect(hledger('books.journal', 'check', '--strict')).toMatchObject({ exitCode: 0, stderr: '' });
  });

  it('finds one unit too much and a misspelt account', () => {
    expect(hledger('unbalanced.journal', 'check', '--strict').exitCode).not.toBe(0);
    expect(hledger('misspelt.journal', 'check', '--strict').exitCode).not.toBe(0);
  });

  it('has the same balances', () => {
    const run = hledger('books.journal', 'balance', '--flat', '--no-total', '--layout=bare', '-O', 'csv');
    const rows = run.stdout
      .trim()
      .split('\n')
      .slice(1)
      .map((row) => row.split('","').map((cell) => cell.replaceAll('"', '')));
    const balances = rows
      .filter((row) => Number(row[2]) !== 0)
      .map(([account, commodity, amount]) => `${account ?? ''}\t${commodity ?? ''}\t${amount ?? ''}`);
    expect(balances.sort()).toEqual(ownBalances());
  });
});

describeWithProgram('ledger', 'ledger', () => {
  const ledger = (file: string, ...more: readonly string[]) => runProgram('ledger', ['-f', join(folder, file), '--pedantic', ...more]);

  it('accepts the books pedantically', () => {
    expect(ledger('books.journal', 'balance').exitCode).toBe(0);
  });

  it('finds one unit too much and a misspelt account', () => {
    expect(ledger('unbalanced.journal', 'balance').exitCode).not.toBe(0);
    expect(ledger('misspelt.journal', 'balance').exitCode).not.toBe(0);
  });
});
