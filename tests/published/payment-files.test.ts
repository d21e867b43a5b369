/** Bank numbers and payment files against what their standards publish. */
import { localDate } from '#domain/calendar/local-date';
import type { IbanAccount, UsAccount } from '#domain/payment-file/bank-account';
import { clearingHouseFile, type ClearingOrder } from '#domain/payment-file/clearing-house';
import { compactIban, ibanProblem, isBic } from '#domain/payment-file/iban';
import { creditTransferFile, type CreditTransferOrder } from '#domain/payment-file/pain-001';
import { isRoutingNumber } from '#domain/payment-file/routing-number';
import type { PaymentFile } from '#domain/payment-file/types';
import { describeWithProgram, runProgram } from '#tests/support/outside-program';
import { join } from 'node:path';

const textOf = (file: PaymentFile): string => {
  if (!file.ok) throw new Error(JSON.stringify(file.problems));
  return file.text;
};

describe('numbers of accounts and banks', () => {
  // ISO 13616 registry, examples of Germany, the United Kingdom, France and Norway (the shortest) as it prints them; Malta from memory.
  it.each(['DE89 3704 0044 0532 0130 00', 'GB29 NWBK 6016 1331 9268 19', 'FR14 2004 1010 0505 0001 3M02 606', 'NO93 8601 1117 947', 'MT84 MALT 0110 0001 2345 MTLC AST0 01S'])(
    '%s is written right',
    (iban) => expect(ibanProblem(compactIban(iban))).toBeNull(),
  );

  // ISO 7064 mod 97-10: GB82 WEST 1234 5698 7654 32 leaves 1, GB82 TEST 1234 5698 7654 32 does not.
  it('tells a wrong one by its check digits, its length and its country', () => {
    expect(ibanProblem('GB82WEST12345698765432')).toBeNull();
    expect(ibanProblem('GB82TEST12345698765432')).toBe('wrong-check-digits');
    expect(ibanProblem('GB82WEST1234569876543')).toBe('wrong-length');
    expect(ibanProblem('QQ82WEST12345698765432')).toBe('country-unknown');
    expect(ibanProblem('82GB')).toBe('malformed');
  });

  // ISO 9362: eight or eleven characters.
  it.each([['COBADEFF', true], ['COBADEFFXXX', true], ['COBADEF', false], ['COBADEFFXX', false], ['COBA1EFF', false]])('%s as a bank identifier: %s', (bic, right) => expect(isBic(bic)).toBe(right));

  // Weights 3, 7, 1: 111000025 is valid, 111000026 is not; digits that change places are found where the weights differ.
  it.each([['111000025', true], ['111000026', false], ['110100025', false], ['000000000', false], ['11100002', false]])('%s as a routing number: %s', (number, right) => expect(isRoutingNumber(number)).toBe(right));
});

const payer: IbanAccount = { kind: 'iban', holderName: 'Lakeside Route Company', iban: 'DE89370400440532013000', bic: 'COBADEFFXXX' };
const order: CreditTransferOrder = {
  messageId: '0190a1b2c3d47e5f8a9b0c1d2e3f4a5b',
  createdAt: '2026-11-26T14:30:00',
  executeOn: localDate('2026-11-27'),
  currency: 'EUR',
  payer,
  transfers: [
    { id: 'T1', payee: { ...payer, holderName: `Smith & Sons <Bar> "${'x'.repeat(80)}"`, iban: 'NO9386011117947', bic: null }, amountMinor: 123_456n, remittance: 'Statement 2026-000123' },
    { id: '//T2//', payee: { ...payer, holderName: "O'Hara", iban: 'GB29NWBK60161331926819' }, amountMinor: 5n, remittance: '' },
  ],
};

describe('ISO 20022 pain.001.001.09', () => {
  // EPC132-08 and EPC217-08: the SEPA set of characters, names of 70 characters, references without slashes at their ends or two in a row.
  it('writes amounts as decimals and texts in the characters and lengths that banks take', () => {
    const file = creditTransferFile(order);
    const text = textOf(file);
    expect(file).toMatchObject({ sums: { transfers: 2, sumMinor: 123_461n, entryHash: null } });
    expect(text.match(/<CtrlSum>[^<]*/g)).toEqual(['<CtrlSum>1234.61', '<CtrlSum>1234.61']);
    expect(text.match(/<InstdAmt[^/]*/g)).toEqual(['<InstdAmt Ccy="EUR">1234.56<', '<InstdAmt Ccy="EUR">0.05<']);
    const names = [...text.matchAll(/<Cdtr><Nm>([^<]*)/g)].map(([, name]) => name);
    expect(names).toEqual([`Smith + Sons Bar ${'x'.repeat(53)}`, "O'Hara"]);
    expect(text).toContain('<EndToEndId>T2</EndToEndId>');
    expect(text.match(/<RmtInf>/g)).toHaveLength(1);
    expect(textOf(creditTransferFile({ ...order, currency: 'BHD' }))).toContain('<InstdAmt Ccy="BHD">123.456<');
  });

  it('cuts the numbers of statements between two of them', () => {
    const numbers = Array.from({ length: 12 }, (_, index) => `2026-${String(index).padStart(6, '0')}`);
    const transfers = order.transfers.slice(0, 1).map((transfer) => ({ ...transfer, remittance: numbers.join(' ') }));
    expect(textOf(creditTransferFile({ ...order, transfers }))).toContain(`<Ustrd>${numbers.slice(0, 11).join(' ')}</Ustrd>`);
  });

  it('says what stands in its way, by transfer', () => {
    const [first] = order.transfers;
    if (first === undefined) throw new Error('a transfer is needed');
    const wrong = [{ ...first, amountMinor: 0n }, { ...first, amountMinor: 100_000_000_000n }, { ...first, payee: { ...first.payee, holderName: '<>' } }];
    expect(creditTransferFile({ ...order, transfers: wrong })).toEqual({
      ok: false,
      problems: [{ code: 'amount-not-positive', index: 0 }, { code: 'amount-too-large', index: 1 }, { code: 'name-not-writable', index: 2 }],
    });
    expect(creditTransferFile({ ...order, transfers: [] })).toEqual({ ok: false, problems: [{ code: 'no-transfers', index: null }] });
  });

  describeWithProgram('xmllint', 'libxml2-utils', () => {
    // The whole schema of ISO 20022, where PAIN_001_SCHEMA names it; else the part of it beside this test.
    const schema = process.env['PAIN_001_SCHEMA'] ?? join(__dirname, 'payment-files/pain-001-subset.xsd');
    const validated = (text: string): number | null => runProgram('xmllint', ['--noout', '--nonet', '--schema', schema, '-'], { input: text }).exitCode;

    it('finds the file valid, and one with its parts in another order not', () => {
      const text = textOf(creditTransferFile(order));
      expect(validated(text)).toBe(0);
      expect(validated(textOf(creditTransferFile({ ...order, currency: 'CHF', payer: { ...payer, bic: null } })))).toBe(0);
      expect(validated(text.replace(/(<Dbtr>.*?<\/Dbtr>)(<DbtrAcct>.*?<\/DbtrAcct>)/, '$2$1'))).not.toBe(0);
      expect(validated(text.replace('<Dt>2026-11-27</Dt>', '2026-11-27'))).not.toBe(0);
    });
  });
});

const person: UsAccount = { kind: 'us', holderName: 'Ana Núñez', routingNumber: '111000025', accountNumber: '12345678', accountType: 'checking', holderKind: 'person', originator: null };
const clearing: ClearingOrder = {
  createdOn: localDate('2026-11-26'),
  createdAt: '1430',
  fileIdModifier: 'A',
  effectiveOn: localDate('2026-11-30'),
  currency: 'USD',
  payer: { ...person, holderName: 'Lakeside Route Company', routingNumber: '021000021', holderKind: 'business', originator: { companyId: '1234567890', bankName: 'First Bank' } },
  transfers: [
    { id: 'T1', payee: { ...person, holderName: 'The Bar With A Very Long Name LLC', holderKind: 'business' }, amountMinor: 123_456n, remittance: '2026-000123' },
    { id: 'T2', payee: { ...person, routingNumber: '121042882', accountType: 'savings' }, amountMinor: 100n, remittance: '2026-000124' },
  ],
};

describe('clearing house records', () => {
  const field = (record: string | undefined, from: number, to: number): string => (record ?? '').slice(from - 1, to);

  // Positions: U.S. Department of the Treasury, Pension Payroll Disbursement Services RFP 2014, exhibit J, "Sample ACH file layout".
  it('puts every field where the layout has it', () => {
    const lines = textOf(clearingHouseFile(clearing)).split('\n');
    const [header, people, toPerson, peopleControl, businesses, toBusiness, , control] = lines;
    expect([field(header, 1, 3), field(header, 4, 13), field(header, 14, 23), field(header, 24, 33), field(header, 34, 40), field(header, 41, 63)]).toEqual([
      '101', ' 021000021', '1234567890', '2611261430', 'A094101', 'First Bank'.toUpperCase().padEnd(23),
    ]);
    expect([field(people, 1, 4), field(people, 5, 20), field(people, 41, 53), field(people, 54, 63), field(people, 70, 75), field(people, 79, 94)]).toEqual([
      '5220', 'LAKESIDE ROUTE C', '1234567890PPD', 'SETTLEMENT', '261130', '1021000020000001',
    ]);
    expect([field(toPerson, 1, 3), field(toPerson, 4, 12), field(toPerson, 13, 29), field(toPerson, 30, 39), field(toPerson, 40, 54), field(toPerson, 79, 94)]).toEqual([
      '632', '121042882', '12345678'.padEnd(17), '0000000100', '2026-000124'.padEnd(15), '0021000020000001',
    ]);
    expect(field(toBusiness, 55, 76)).toBe('THE BAR WITH A VERY LO');
    expect([field(peopleControl, 5, 10), field(peopleControl, 11, 20), field(peopleControl, 33, 44)]).toEqual(['000001', '0012104288', '000000000100']);
    expect(field(businesses, 51, 53)).toBe('CCD');
    // 11100002 + 12104288 = 23204290.
    expect([field(control, 2, 7), field(control, 8, 13), field(control, 14, 21), field(control, 22, 31), field(control, 44, 55)]).toEqual(['000002', '000001', '00000002', '0023204290', '000000123556']);
  });

  // The file header that American Riviera Bank prints with its fields (americanriviera.bank, page "NACHA"): a page leaves out blanks that stand together, so
  // they are left out here. The reference code at its end is optional, and a bank's own.
  it('begins a file as a bank prints it', () => {
    const payer = { ...clearing.payer, holderName: 'Sellmore Goods', routingNumber: '122244333', originator: { companyId: ' 222222223', bankName: 'American Riviera Bank' } };
    const [header] = textOf(clearingHouseFile({ ...clearing, payer, createdOn: localDate('2025-02-28'), createdAt: '2115' })).split('\n');
    const printed = '101 1222443332222222232502282115A094101 AMERICAN RIVIERA BANK SELLMORE GOODS00000000';
    expect(header?.replaceAll(' ', '')).toBe(printed.replaceAll(' ', '').replace(/0{8}$/, ''));
    expect(isRoutingNumber('122244333')).toBe(true);
  });

  // Printed: 12345678 + 87654321 + 56781234 = 156781233 (achgenie.com, "NACHA entry hash calculation", 2026).
  it('adds up the entry hash as printed', () => {
    const transfers = ['12345678', '87654321', '56781234'].map((bank, index) => ({ id: `T${index}`, payee: { ...person, routingNumber: `${bank}0` }, amountMinor: 1n, remittance: '' }));
    expect(clearingHouseFile({ ...clearing, transfers })).toMatchObject({ sums: { entryHash: '0156781233' } });
  });

  // Common practice, no source: a bank may give out a company number that begins with a blank, and both numbers are compared by their characters.
  it('writes company and account numbers as the banks gave them out', () => {
    const transfers = clearing.transfers.slice(0, 1).map((transfer) => ({ ...transfer, payee: { ...transfer.payee, accountNumber: 'ab-12345c' } }));
    const lines = textOf(clearingHouseFile({ ...clearing, transfers, payer: { ...clearing.payer, originator: { companyId: ' 123456789', bankName: 'First Bank' } } })).split('\n');
    expect([field(lines[0], 14, 23), field(lines[1], 41, 50), field(lines[2], 13, 29), field(lines[3], 45, 54)]).toEqual([' 123456789', ' 123456789', 'ab-12345c'.padEnd(17), ' 123456789']);
  });

  it('keeps the end of a statement number that is longer than its field', () => {
    const transfers = clearing.transfers.slice(0, 1).map((transfer) => ({ ...transfer, remittance: 'LAKESIDE-2026-000123' }));
    expect(field(textOf(clearingHouseFile({ ...clearing, transfers })).split('\n')[2], 40, 54)).toBe('IDE-2026-000123');
  });

  it('fills blocks of ten records of 94 printable characters', () => {
    for (const count of [1, 4, 5, 6, 7, 17]) {
      const transfers = Array.from({ length: count }, (_, index) => ({ id: `T${index}`, payee: person, amountMinor: 1n, remittance: '' }));
      const lines = textOf(clearingHouseFile({ ...clearing, transfers })).slice(0, -1).split('\n');
      expect(lines.length % 10).toBe(0);
      expect(lines.every((line) => /^[ -~]{94}$/.test(line))).toBe(true);
      expect(lines.filter((line) => /^9{94}$/.test(line))).toHaveLength(lines.length - count - 4);
    }
  });

  // The entry hash keeps the ten low digits of its sum.
  it('cuts the entry hash at ten digits', () => {
    const transfers = Array.from({ length: 130 }, (_, index) => ({ id: `T${index}`, payee: { ...person, routingNumber: '800000004' }, amountMinor: 1n, remittance: '' }));
    expect(clearingHouseFile({ ...clearing, transfers })).toMatchObject({ sums: { entryHash: '0400000000' } });
  });

  it('pays dollars only, from an account whose bank knows the company', () => {
    expect(clearingHouseFile({ ...clearing, currency: 'EUR', payer: person })).toEqual({ ok: false, problems: [{ code: 'other-currency', index: null }, { code: 'originator-missing', index: null }] });
  });
});
