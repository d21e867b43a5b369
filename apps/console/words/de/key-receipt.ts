/** Was jemand liest, der ohne Konto über einen Link bestätigt, einen Schlüssel gegeben oder erhalten zu haben. */
export const keyReceipt = {
  title: 'Schlüssel bestätigen',
  asks: {
    giver: (name: string) => `${name}, bitte bestätigen Sie, dass Sie das gegeben haben.`,
    receiver: (name: string) => `${name}, bitte bestätigen Sie, dass Sie das erhalten haben.`,
  },
  what: 'Was',
  keys: 'Schlüssel',
  from: 'Von',
  to: 'An',
  when: 'Wann',
  says: (kind: string) => (kind === 'issued' ? 'Ausgegeben' : kind === 'returned' ? 'Zurückgegeben' : 'Übergeben'),
  onlyIfTrue: 'War es nicht so, bestätigen Sie es nicht, und sagen Sie es der Person, die Ihnen den Link geschickt hat.',
  confirm: { giver: 'Ich habe das gegeben', receiver: 'Ich habe das erhalten' },
  confirmed: (when: string) => `Bestätigt am ${when}. Es bleibt nichts zu tun.`,
};
