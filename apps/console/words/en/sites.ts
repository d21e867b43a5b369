import { countOf } from './counting';

export const sites = {
  takings: 'Takings',
  takingsChart: {
    title: (currency: string) => `Takings by period in ${currency}, the share of the site darker`,
    says: ({ least, most }: { least: { amount: string; period: string }; most: { amount: string; period: string } }) => `Least ${least.amount} in ${least.period}, most ${most.amount} in ${most.period}.`,
  },
  title: 'Sites',
  none: 'No site has been set up yet.',
  find: 'Find a site',
  shown: (shown: number, all: number) => countOf({ shown, all }, 'site', 'sites'),
  address: 'Address',
  currency: 'Currency',
  closed: 'closed',
  agreement: 'What was agreed',
  agreedWith: (party: string, from: string, until: string | null) => (until === null ? `With ${party}, since ${from}` : `With ${party}, from ${from} until ${until}`),
  termsFrom: (day: string) => `Terms from ${day}`,
  noAgreement: 'There is no agreement for this site.',
  machines: 'Machines here',
  noMachines: 'No machine stands here at present.',
  kind: 'Kind',
  here: 'Here since',
  settlements: 'Settlements',
  noSettlements: 'Nothing has been settled here yet.',
  collections: 'Latest collections',
  allCollections: 'All collections of this site',
  noCollections: 'Nothing has been collected here yet.',
};

export const advances = {
  title: 'Advances',
  none: 'No advance has been given here.',
  givenOn: 'Given on',
  to: 'To',
  reason: 'Reason',
  given: 'Given',
  open: 'Open',
  closed: 'nothing',
  give: 'Give an advance',
  giveTo: (party: string) => `Advance to ${party}`,
  explained: 'Settlements keep it back from the share as the terms say, until nothing is open.',
  amount: (currency: string) => `Amount in ${currency}`,
  amountMissing: 'Enter the amount in figures, such as 250.00.',
  dayMissing: 'Say on which day it was given.',
  reasonMissing: 'Say why, in a few words.',
  method: 'Paid by',
  methods: { bank: 'Bank', cash: 'Cash from the counting room', other: 'Other means' },
  document: 'Document',
  documentHint: 'What the bank or a receipt shows; may be left empty.',
  record: 'Record the advance',
};

export const share = {
  title: 'My share',
  sites: 'Your sites',
  noSites: 'Your account is not bound to any site. Ask the operator.',
  soFar: (period: string) => `Your share for ${period} so far`,
  from: (takings: string, countedUntil: string | null) =>
    countedUntil === null ? `From takings of ${takings}.` : `From takings of ${takings}, counted until ${countedUntil}.`,
  notFinal: 'This changes until the period is closed.',
  nothingYet: 'No share can be shown for this period yet.',
  statements: 'Statements',
  noStatements: 'The first statement comes after the first month end.',
  visits: 'Last visits',
  noVisits: 'Nothing was collected here yet.',
  visit: ({ counted, refunds, handed }: { counted: string; refunds: string | null; handed: string | null }) =>
    [`${counted} counted`, ...(refunds === null ? [] : [`${refunds} given back to players`]), ...(handed === null ? [] : [`${handed} handed over here`])].join(', '),
};
