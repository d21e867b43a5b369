/** Short answers beside a button, by the code of the problem. */
export const refusals: Readonly<Record<string, string>> = {
  'wrong-state': 'Somebody moved it on meanwhile. The list has been read again.',
  'changed-meanwhile': 'It has changed since you saw it. The list has been read again.',
  'draft-is-stale': 'Its counts or terms have changed since it was settled. Open it and recompute it.',
  'not-allowed': 'Your role does not allow this.',
  'statement-in-preparation': 'Still being prepared. Try again in a moment.',
  'statement-not-issued': 'There is no statement before the settlement is issued.',
  'flags-open': 'Differences between count and meters are not explained yet. You find them under Variances, Flags.',
  'settlement-held': 'The draft is held. Release it first.',
  'cannot-be-settled': 'Something stands in the way of this settlement. Open it and review it there: it says what.',
  'boxes-not-counted': 'A machine left, and nobody counted what was in its box. Open the settlement and review it there: it says which.',
  'limits-not-kept': 'The figures break a limit of the law of the place. Open the settlement and review it there: it says which.',
  'journal-closed': 'The journal is closed for this day. Ask an owner to reopen the month of the journal.',
};
