import { countOf } from './counting';

export const sites = {
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
};
