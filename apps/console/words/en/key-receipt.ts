/** What somebody reads who confirms by a link that they gave or received a key, or says that it was not so, without an account. */
export const keyReceipt = {
  title: 'Confirm a key',
  asks: {
    giver: (name: string) => `${name}, you are asked to confirm that you gave this.`,
    receiver: (name: string) => `${name}, you are asked to confirm that you received this.`,
  },
  what: 'What',
  keys: 'Keys',
  from: 'From',
  to: 'To',
  when: 'When',
  says: (kind: string) => (kind === 'issued' ? 'Issued' : kind === 'returned' ? 'Returned' : 'Handed over'),
  confirm: { giver: 'I gave this', receiver: 'I received this' },
  confirmed: (when: string) => `Confirmed on ${when}. Nothing is left to do.`,
};
