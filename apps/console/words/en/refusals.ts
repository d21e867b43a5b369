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
};
