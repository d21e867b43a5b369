import { count, language, number } from './counting';
import { refusals } from './refusals';

const events: Readonly<Record<string, string>> = {
  drafted: 'Settled',
  recomputed: 'Recomputed',
  reviewed: 'Reviewed',
  reopened: 'Reopened',
  numbered: 'Numbered',
  issued: 'Statement signed',
};

export const settlement = {
  title: 'Settlement',
  number: (statement: string) => `Statement ${statement}`,
  kind: { final: 'Final settlement', supplementary: 'Supplementary settlement' },
  review: 'Review',
  reopen: 'Reopen',
  recompute: 'Recompute',
  reopenTitle: 'Reopen this settlement?',
  reopenWhat: 'It becomes a draft again, can be recomputed, and needs another review.',
  note: 'Why',
  totals: {
    payable: 'Payable to the site',
    owed: 'Owed by the site',
    takings: 'Takings',
    tax: 'Tax',
    charges: 'Charges',
    siteShare: 'Site share',
    operatorShare: 'Operator share',
    earlier: 'Earlier periods',
  },
  story: {
    takings: (amount: string) => `The machines took ${amount}.`,
    refunds: (amount: string) => `${amount} of it was given back to players.`,
    tax: (amount: string) => `${amount} is tax.`,
    charges: (amount: string) => `${amount} went off before the split, as agreed.`,
    share: (amount: string) => `Your share of what was left is ${amount}.`,
    rest: (amount: string) => `What you paid out, already received or had open before comes to ${amount}.`,
  },
  waterfall: 'From takings to payable',
  waterfallCaption: (currency: string) => `From takings to payable, amounts in ${currency}`,
  line: 'Line',
  single: 'Single amount',
  sum: 'Sum',
  stage: {
    takings: 'Takings',
    refunds: 'Given back to players',
    tax: 'Tax',
    'loss-in': 'Loss from before',
    charges: 'Charges before the split',
    left: 'Left to share',
    shares: 'Shares',
    'loss-out': 'Loss carried on',
    guarantees: 'Guarantees and caps',
    'operator-tax': 'Tax from the operator’s share',
    payout: 'What the site is paid',
    payable: 'Payable',
  },
  showLines: (machines: number) => `Show ${count(machines, 'line', 'lines')} of machines`,
  hideLines: 'Hide lines of machines',
  why: '– why?',
  noWhy: 'This settlement was stored without explanations.',
  whyParts: { step: 'Step', rule: 'Rule', exact: 'Before rounding', inputs: 'From' },
  earlier: (startsOn: string) => `Changes to ${monthOf(startsOn)}`,
  earlierLead: 'Something in that period changed after it was issued. These are the differences.',
  machines: 'Machine by machine',
  machinesCaption: (currency: string) => `Machine by machine, amounts in ${currency}`,
  machineColumn: { cash: 'Cash', cashless: 'Cashless', other: 'Other', refunds: 'Given back', net: 'Net takings', tax: 'Tax' },
  allMachines: (machines: number) => count(machines, 'machine', 'machines'),
  linesOf: (tag: string) => `Lines of machine ${tag}`,
  terms: 'What was agreed',
  site: (name: string) => `More about ${name}`,
  history: 'History',
  event: (kind: string, by: string) => `${events[kind] ?? kind}, ${by}`,
  engine: 'Computed by engine version',
  digest: 'Digest of the settlement',
  statementDigest: 'Digest of the statement',
};

export const statement = {
  download: 'Download statement',
  short: 'PDF',
  all: 'Download all',
  fetching: (done: number) => `Fetched ${number.format(done)}…`,
  zipName: (startsOn: string) => `statements-${startsOn}`,
  inPreparation: 'In preparation',
  refused: (code: string | null) => refusals[code ?? ''] ?? 'The statement could not be fetched.',
};

function monthOf(day: string): string {
  return new Intl.DateTimeFormat(language, { month: 'long', year: 'numeric', timeZone: 'UTC' }).format(new Date(`${day}T00:00:00Z`));
}
