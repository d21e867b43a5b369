import { contentOf, type Section } from '#statement/page/content';
import type { StatementDocument } from '#statement/document';
import { localDate } from '#domain/calendar/local-date';
import { sampleStatement } from '#tests/support/sample-statement';

function sectionNamed(document: StatementDocument, title: string): Section {
  const section = contentOf(document).sections.find((candidate) => candidate.title.startsWith(title));
  if (section === undefined) throw new Error(`no section ${title}`);
  return section;
}

const cells = (section: Section): string[][] => section.rows.map(({ cells: texts }) => [...texts]);

describe('the content of a statement', () => {
  it('numbers its lines through, without a gap', () => {
    const numbers = contentOf(sampleStatement()).sections.flatMap(({ rows }) => rows.map(({ line }) => line));
    expect(numbers).toEqual(Array.from({ length: 22 }, (_, index) => index + 1));
  });

  it('names the lines that a figure comes from', () => {
    expect(cells(sectionNamed(sampleStatement(), 'How the takings')).map(([label, basis]) => `${label}: ${basis}`)).toEqual([
      'Net takings: line 11',
      'Tax: State sales tax: 5.75 % inside the takings',
      'Tax: County surtax: 0.5 % inside the takings',
      'First call: to Harbour Lane Amusements, 75.00 a week for 30 days',
      'Left to share: lines 12 to 15',
      'Share of Kettle Hospitality LLC: 50\u00a0%',
      'Share of Harbour Lane Amusements: 50\u00a0%',
    ]);
    expect(cells(sectionNamed(sampleStatement(), 'What you get')).map(([label, basis]) => `${label}: ${basis}`)).toEqual([
      'Your share: line 17',
      'Refunds you gave to players: 3 slips',
      'Cash handed to you: May 14, receipt 5521',
      'To be paid: lines 19 to 21',
    ]);
  });

  it('shows deductions as negative, so that the column adds up by eye', () => {
    expect(cells(sectionNamed(sampleStatement(), 'How the takings')).map(([, , amount]) => amount)).toEqual([
      '3,380.80', '−182.96', '−15.91', '−325.00', '2,856.93', '1,428.46', '1,428.47',
    ]);
  });

  it('has columns for cashless, tokens and adjustments only where a machine has some', () => {
    const sample = sampleStatement({ machines: 2 });
    expect(sectionNamed(sample, 'Takings').columns.map(({ title }) => title)).toEqual(['Machine', 'Game', 'Coins', 'Notes', 'Refunds', 'Net takings']);
    const machines = sample.machines.map((machine, index) => (index === 1 ? { ...machine, cashlessMinor: 5n, adjustmentMinor: -5n } : machine));
    expect(sectionNamed({ ...sample, machines }, 'Takings').columns.map(({ title }) => title)).toEqual([
      'Machine', 'Game', 'Coins', 'Notes', 'Cashless', 'Adjusted', 'Refunds', 'Net takings',
    ]);
  });

  it('carries running totals of what was listed so far', () => {
    const { carried, rows } = sectionNamed(sampleStatement({ machines: 3 }), 'Takings');
    expect(carried?.(2)).toEqual(['', '444.69', '95.00', '−5.75', '533.94']);
    expect(carried?.(3).slice(1)).toEqual(rows.at(-1)?.cells.slice(2));
  });

  it('shows what is carried to the next statement beside what is paid now', () => {
    const sample = sampleStatement();
    const carried = { ...sample, carriedForwardMinor: sample.payableMinor, dueMinor: 0n };
    expect(cells(sectionNamed(carried, 'What you get')).slice(-3)).toEqual([
      ['Your balance', 'lines 19 to 21', '1,319.96'],
      ['Carried to your next statement', '', '−1,319.96'],
      ['To be paid', 'lines 22 and 23', '0.00'],
    ]);
    expect(contentOf(carried).outcome).toMatchObject({ label: 'Nothing to be paid', amount: '0.00', also: [expect.stringContaining('1,319.96'), expect.anything()] });
  });

  it('says who pays when the balance is negative', () => {
    const sample = sampleStatement();
    const owed = { ...sample, payableMinor: -500n, dueMinor: -500n };
    expect(contentOf(owed).outcome).toMatchObject({ label: 'To be paid by you', amount: '5.00' });
  });

  it('says of a balance that the payee owes it, in the list as in the head, whether it is paid or carried', () => {
    const sample = sampleStatement();
    const owed = { ...sample, payableMinor: -500n, dueMinor: -500n };
    expect(cells(sectionNamed(owed, 'What you owe')).at(-1)).toEqual(['To be paid by you', 'lines 19 to 21', '−5.00']);
    const carried = { ...owed, carriedForwardMinor: -500n, dueMinor: 0n };
    expect(cells(sectionNamed(carried, 'What you owe')).at(-1)).toEqual(['To be paid', 'lines 22 and 23', '0.00']);
    // As it was printed before.
    expect(cells(sectionNamed({ ...owed, pageVersion: 3 }, 'What you get')).at(-1)?.[0]).toBe('To be paid');
  });

  it('says of each pool of which lines its takings are, and of a share by bands where it comes from', () => {
    const sample = sampleStatement({ machines: 3 });
    const [pool] = sample.waterfalls;
    const [first, second, third] = sample.machines.map(({ machineTag }) => machineTag);
    if (pool === undefined || first === undefined || second === undefined || third === undefined) throw new Error('a sample of three machines was meant');
    const shares = pool.shares.map(({ percent: _, ...share }) => share);
    const document = { ...sample, waterfalls: [{ ...pool, title: 'pool tables', machineTags: [third, first], shares }, { ...pool, title: 'jukeboxes', machineTags: [second] }] };
    const basesOf = (given: StatementDocument, title: string) => cells(sectionNamed(given, `How the takings are shared: ${title}`)).map(([, basis]) => basis);
    expect([basesOf(document, 'pool tables')[0], basesOf(document, 'jukeboxes')[0]]).toEqual(['line 1 and line 3', 'line 2']);
    expect(basesOf(document, 'pool tables').slice(-2)).toEqual(['by the bands of your terms', 'by the bands of your terms']);
    expect([basesOf({ ...document, pageVersion: 3 }, 'pool tables')[0], basesOf({ ...document, pageVersion: 3 }, 'pool tables').at(-1)]).toEqual(['', '']);
  });

  it('refers to all pools, guarantees and earlier periods that the balance takes up', () => {
    const sample = sampleStatement({ machines: 1 });
    const [pool] = sample.waterfalls;
    if (pool === undefined) throw new Error('no pool');
    const document: StatementDocument = {
      ...sample,
      waterfalls: [{ ...pool, title: 'pool tables' }, { ...pool, title: 'jukeboxes' }],
      guarantees: [{ label: 'At least 10.00', moves: [{ party: 'Kettle Hospitality LLC', amountMinor: 1n, isPayee: true }] }],
      earlierPeriods: [
        {
          firstDay: localDate('2025-04-01'), lastDay: localDate('2025-04-30'), statementNumber: '2025-000098', reason: 'late count',
          lines: [{ label: 'Net takings', issuedMinor: 1_000n, nowMinor: 1_250n }], forPayeeMinor: 125n,
        },
        {
          firstDay: localDate('2025-03-01'), lastDay: localDate('2025-03-31'), statementNumber: '2025-000061', reason: 'late slip',
          lines: [{ label: 'Net takings', issuedMinor: 1_000n, nowMinor: 900n }], forPayeeMinor: -50n,
        },
      ],
      payable: [
        { kind: 'share', amountMinor: 1n }, { kind: 'guarantee', amountMinor: 1n },
        { kind: 'earlier-period', amountMinor: 125n }, { kind: 'earlier-period', amountMinor: -50n },
      ],
      payableMinor: 77n,
      dueMinor: 77n,
    };
    const bases = cells(sectionNamed(document, 'What you get')).map(([label, basis]) => [label, basis]);
    expect(bases.slice(0, 4)).toEqual([
      ['Your share', 'line 8 and line 15'],
      ['Guarantee or limit', 'line 17'],
      ['Change to an earlier period', 'line 19'],
      ['Change to an earlier period', 'line 21'],
    ]);
    expect(cells(sectionNamed(document, 'Change to April 1'))).toEqual([
      ['Net takings', '10.00', '12.50', '2.50'],
      ['Change for Kettle Hospitality LLC', '', '', '1.25'],
    ]);
  });
});
