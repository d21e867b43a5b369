/** The texts of a receipt for keys, in English. */
export const receiptWords = {
  title: 'Receipt for keys',
  what: 'What',
  when: 'When',
  dueBack: 'Lent until',
  recorded: 'Recorded',
  reason: 'Reason',
  says: { issued: 'Issued', returned: 'Returned', 'handed-over': 'Handed over' },
  classes: { access: 'access key', 'cash-box': 'cash-box key' },
  copies: (count: number) => (count === 1 ? 'Key' : 'Keys'),
  copy: (copy: { number: string; code: string; keyClass: string }) => `${copy.number}, ${copy.keyClass}, code ${copy.code}`,
  sides: { giver: 'Given by', receiver: 'Received by' },
  unconfirmed: 'Not confirmed yet.',
  confirmed: {
    recorded: ({ by, at }: { by: string; at: string }) => `Confirmed by ${by}, who recorded it, ${at}.`,
    'signed-in': ({ by, at }: { by: string; at: string }) => `Confirmed by ${by}, signed in, ${at}.`,
    link: ({ by, at }: { by: string; at: string }) => `Confirmed by ${by} through a one-use link, ${at}.`,
    signed: ({ by, at }: { by: string; at: string }) => `Confirmed by signature of ${by}, ${at}.`,
  },
  signedAs: (name: string) => `Signed: ${name}`,
  corrected: { title: 'Corrected', text: (numbers: string) => `A later record took the place of this one for ${numbers}.` },
  proof: {
    title: 'Evidence',
    text: ({ place, size }: { place: number; size: number }) =>
      `This event is entry ${place} of the operator’s evidence log. The attached file holds the entry and a proof that it lies under the head of ${size} entries. Whoever keeps this receipt can later check that neither it nor anything before it was changed or dropped.`,
    head: 'Head',
    entry: 'Entry',
  },
  continued: (eventId: string) => `Receipt ${eventId}, continued`,
  page: (page: number, pages: number) => `Page ${page} of ${pages}`,
} as const;
