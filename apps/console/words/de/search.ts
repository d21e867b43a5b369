export const search = {
  title: 'Suche',
  label: 'Was suchen Sie?',
  hint: 'Einen Namen, einen Code, eine Gerätenummer oder die Nummer einer Abrechnung; zwei Buchstaben genügen.',
  shortcut: (keys: string) => `${keys} führt Sie von jeder Seite hierher.`,
  none: (text: string) => `Nichts, was Sie sehen dürfen, heißt „${text}“.`,
  found: (count: number) => (count === 1 ? 'Ein Treffer' : `${count} Treffer`),
  more: 'Es gibt mehr: Geben Sie noch ein Wort oder eine Ziffer ein.',
  kinds: {
    site: 'Standorte',
    machine: 'Geräte',
    settlement: 'Abrechnungen',
    party: 'Vertragsparteien',
    person: 'Personen',
    'key-code': 'Schließungen',
    'key-copy': 'Schlüssel',
  },
};
