/** Was jemand liest, der ohne Konto über einen Link bestätigt, einen Schlüssel abgegeben oder bekommen zu haben, oder sagt, dass es nicht so war. */
export const keyReceipt = {
  title: 'Schlüssel bestätigen',
  asks: {
    giver: (name: string) => `${name}, bitte bestätigen Sie, dass Sie das abgegeben haben.`,
    receiver: (name: string) => `${name}, bitte bestätigen Sie, dass Sie das bekommen haben.`,
  },
  what: 'Was',
  keys: 'Schlüssel',
  from: 'Von',
  to: 'An',
  when: 'Wann',
  says: (kind: string) => (kind === 'issued' ? 'Ausgegeben' : kind === 'returned' ? 'Zurückgegeben' : 'Übergeben'),
  confirm: { giver: 'Ich habe das abgegeben', receiver: 'Ich habe das bekommen' },
  confirmed: (when: string) => `Bestätigt am ${when}. Es bleibt nichts zu tun.`,
};
