import { countOf } from './counting';

export const sites = {
  takings: 'Einnahmen',
  takingsChart: {
    title: (currency: string) => `Einnahmen je Zeitraum in ${currency}, der Anteil des Standorts dunkler`,
    says: ({ least, most }: { least: { amount: string; period: string }; most: { amount: string; period: string } }) => `Am wenigsten: ${least.amount}, ${least.period}; am meisten: ${most.amount}, ${most.period}.`,
  },
  title: 'Standorte',
  none: 'Es ist noch kein Standort eingerichtet.',
  find: 'Standort suchen',
  shown: (shown: number, all: number) => countOf({ shown, all }, { one: 'Standort', many: 'Standorte', ofMany: 'Standorten' }),
  address: 'Adresse',
  currency: 'Währung',
  closed: 'geschlossen',
  agreement: 'Was vereinbart ist',
  agreedWith: (party: string, from: string, until: string | null) => (until === null ? `Mit ${party}, seit ${from}` : `Mit ${party}, von ${from} bis ${until}`),
  termsFrom: (day: string) => `Vereinbarung ab ${day}`,
  noAgreement: 'Für diesen Standort gibt es keine Vereinbarung.',
  machines: 'Geräte hier',
  noMachines: 'Hier steht derzeit kein Gerät.',
  kind: 'Art',
  here: 'Hier seit',
  settlements: 'Abrechnungen',
  noSettlements: 'Hier wurde noch nichts abgerechnet.',
  collections: 'Letzte Leerungen',
  allCollections: 'Alle Leerungen dieses Standorts',
  noCollections: 'Hier wurde noch nicht geleert.',
};

export const advances = {
  title: 'Vorschüsse',
  none: 'Hier wurde kein Vorschuss gegeben.',
  givenOn: 'Gegeben am',
  to: 'An',
  reason: 'Grund',
  given: 'Gegeben',
  open: 'Offen',
  closed: 'nichts',
  give: 'Vorschuss geben',
  giveTo: (party: string) => `Vorschuss an ${party}`,
  explained: 'Abrechnungen tilgen ihn aus dem Anteil, wie es vereinbart ist, bis nichts mehr offen ist.',
  amount: (currency: string) => `Betrag in ${currency}`,
  amountMissing: 'Geben Sie den Betrag in Ziffern ein, etwa 250,00.',
  dayMissing: 'Sagen Sie, an welchem Tag er gegeben wurde.',
  reasonMissing: 'Sagen Sie mit ein paar Worten, warum.',
  method: 'Bezahlt',
  methods: { bank: 'Über die Bank', cash: 'Bar aus dem Zählraum', other: 'Auf anderem Weg' },
  document: 'Beleg',
  documentHint: 'Was die Bank oder eine Quittung zeigt; darf leer bleiben.',
  record: 'Vorschuss erfassen',
};

export const share = {
  title: 'Mein Anteil',
  sites: 'Ihre Standorte',
  noSites: 'Ihr Konto ist keinem Standort zugeordnet. Fragen Sie den Aufsteller.',
  soFar: (period: string) => `Ihr bisheriger Anteil für ${period}`,
  from: (takings: string, countedUntil: string | null) =>
    countedUntil === null ? `Aus Einnahmen von ${takings}.` : `Aus Einnahmen von ${takings}, gezählt bis ${countedUntil}.`,
  notFinal: 'Das ändert sich noch, bis der Zeitraum abgeschlossen ist.',
  nothingYet: 'Für diesen Zeitraum lässt sich noch kein Anteil zeigen.',
  statements: 'Belege',
  noStatements: 'Der erste Beleg kommt nach dem ersten Monatsabschluss.',
  visits: 'Letzte Besuche',
  noVisits: 'Hier wurde noch nichts geleert.',
  visit: ({ counted, refunds, handed }: { counted: string; refunds: string | null; handed: string | null }) =>
    [`${counted} gezählt`, ...(refunds === null ? [] : [`${refunds} an Spieler erstattet`]), ...(handed === null ? [] : [`${handed} hier übergeben`])].join(', '),
};
