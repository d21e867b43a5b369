/** An invented statement of any size, whose figures add up. */
import { localDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import type { MachineTakings, StatementDocument } from '#statement/document';

const GAMES = ['Comet Courier', 'Tin Garden', 'Paper Harbour', 'Night Ferry', 'Gravel Kings', 'Moth & Lantern', 'Seven Bridges'];

export interface SampleOptions {
  readonly machines?: number;
  readonly currency?: CurrencyCode;
  readonly paper?: StatementDocument['paper'];
  readonly locale?: string;
  /** Every amount times this. */
  readonly scale?: bigint;
}

export function sampleStatement({ machines: count = 10, currency = 'USD', paper = 'A4', locale = 'en-US', scale = 1n }: SampleOptions = {}): StatementDocument {
  const machines = Array.from({ length: count }, (_, index) => machine(index, scale));
  const net = machines.reduce((total, { netMinor }) => total + netMinor, 0n);
  const taxable = (net * 10000n + 5312n) / 10625n;
  const [county, state] = [(taxable + 100n) / 200n, net - taxable - (taxable + 100n) / 200n];
  const firstCall = 32_500n * scale;
  const left = net - state - county - firstCall;
  const siteShare = left / 2n;
  const handed = 12_000n * scale;
  const refundsPaid = 1_150n * scale;
  const payable = siteShare + refundsPaid - handed;
  return {
    operator: { name: 'Harbour Lane Amusements', addressLines: ['14 Cooper Street', 'Easthaven, WA 98000'], registration: '600-123-456' },
    site: { name: 'The Copper Kettle', addressLines: ['201 Quay Road', 'Easthaven, WA 98001'], code: 'KETTLE' },
    payee: { name: 'Kettle Hospitality LLC', addressLines: ['201 Quay Road', 'Easthaven, WA 98001'] },
    statementNumber: '2025-000123',
    firstDay: localDate('2025-05-01'),
    lastDay: localDate('2025-05-31'),
    issuedOn: localDate('2025-06-02'),
    issuedAt: '2025-06-02T16:30:00Z',
    locale,
    paper,
    currency,
    terms: [
      'Sales tax is inside the price of each play; the operator files it.',
      'The operator takes the first 75.00 a week; the rest is shared: the site 50 %, the operator 50 %.',
    ],
    machines,
    waterfalls: [
      {
        netTakingsMinor: net,
        lossBroughtForwardMinor: 0n,
        taxes: [
          { label: 'State sales tax', detail: '5.75 % inside the takings', amountMinor: state },
          { label: 'County surtax', detail: '0.5 % inside the takings', amountMinor: county },
        ],
        charges: [{ label: 'First call', detail: '75.00 a week for 30 days', party: 'Harbour Lane Amusements', amountMinor: firstCall }],
        leftMinor: left,
        shares: [
          { party: 'Kettle Hospitality LLC', percent: '50', amountMinor: siteShare, isPayee: true },
          { party: 'Harbour Lane Amusements', percent: '50', amountMinor: left - siteShare, isPayee: false },
        ],
        lossCarriedForwardMinor: 0n,
      },
    ],
    guarantees: [],
    payable: [
      { kind: 'share', amountMinor: siteShare },
      { kind: 'refunds-paid', detail: '3 slips', amountMinor: refundsPaid },
      { kind: 'cash-handed', detail: 'May 14, receipt 5521', amountMinor: -handed },
    ],
    payableMinor: payable,
    carriedForwardMinor: 0n,
    dueMinor: payable,
    payment: 'Paid by bank transfer by June 15, 2025.',
    earlierPeriods: [],
    recentPeriods: [],
    evidence: {
      headSize: 18_204,
      headRoot: '5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328',
      settlementDigest: 'd37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7',
    },
    cautions: [],
  };
}

function machine(index: number, scale: bigint): MachineTakings {
  const [coinMinor, noteMinor] = [BigInt(18_275 + ((index * 7_919) % 21_400)) * scale, BigInt(((index * 3_571) % 37) * 500) * scale];
  const refundsMinor = BigInt(index % 4 === 1 ? 575 : 0) * scale;
  return {
    machineTag: `M-${1040 + index * 3}`,
    game: GAMES[index % GAMES.length] ?? '',
    coinMinor,
    noteMinor,
    cashlessMinor: 0n,
    tokenMinor: 0n,
    adjustmentMinor: 0n,
    refundsMinor,
    netMinor: coinMinor + noteMinor - refundsMinor,
  };
}
