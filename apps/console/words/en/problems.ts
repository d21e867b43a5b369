import type { ProblemCode } from '#contracts/problem';

/** What the console says of a refusal in place of the api's words, which speak to programs of headers and fields. */
export interface ForPeople {
  readonly title?: string;
  readonly advice: string;
  /** Set where the detail is about the request and not about the thing. */
  readonly withoutDetail?: true;
}

const again = 'Wait a moment and try again.';
const loadAgain = 'Load the page again and repeat what you did.';
const asThePageSent = { title: 'The page sent something that the server does not take', advice: loadAgain, withoutDetail: true } as const;

export const problems: Readonly<Partial<Record<ProblemCode, ForPeople>>> = {
  'invalid-request': { title: 'Something here is not filled in as it has to be', advice: 'Correct it and try again.' },
  'invalid-cursor': asThePageSent,
  'operator-missing': asThePageSent,
  'idempotency-key-missing': asThePageSent,
  'idempotency-key-reused': { title: 'It is recorded already, as it was sent first', advice: 'The answer to that got lost on its way. Close this and look at what is recorded; what you have changed since is not in it.', withoutDetail: true },
  'cross-site-request': asThePageSent,
  'route-not-found': asThePageSent,
  'unsupported-media-type': asThePageSent,
  'version-missing': asThePageSent,
  'not-signed-in': { advice: 'Sign in again.' },
  'not-allowed': { advice: 'Ask an owner of the operator.', withoutDetail: true },
  'not-allowed-in-state': { title: 'This cannot be done with it any more', advice: 'Somebody has moved it on, or your role ends here. Load the page again to see how it stands.', withoutDetail: true },
  'being-counted': { title: 'A collection there is planned or being counted', advice: 'You count there, or have a hand in it: what boxes should hold is shown to you when the count is accepted. A colleague who has none sees it now.', withoutDetail: true },
  'scope-missing': { title: 'This is not open to you', advice: 'Ask an owner of the operator.', withoutDetail: true },
  'second-factor-needed': { advice: 'Set one up under your name, top right.' },
  'not-found': { advice: 'It may have been taken away, or belong to somebody else.' },
  'request-in-flight': { title: 'This is being done already', advice: again },
  'wrong-state': { title: 'This cannot be done with it any more', advice: 'Load the page again to see how it stands.' },
  'webhook-limit': { advice: 'Remove one that is not needed any more.', withoutDetail: true },
  'already-exists': { advice: 'Choose another code or value.' },
  'file-accepted-before': { advice: 'Discard this one.' },
  'period-already-closed': { advice: 'What is missing in it is settled from the month end of that period.' },
  'period-not-over': { advice: 'Close it when it is over.' },
  'cannot-be-settled': { advice: 'Put it right and try again.' },
  'draft-is-stale': { advice: 'Recompute the draft and look at it again.' },
  'journal-closed': { advice: 'Give a later day, or ask an owner to reopen the month of the journal.' },
  'limits-not-kept': { advice: 'Change the terms or the charges.' },
  'settlement-held': { advice: 'Release it first, with a note.' },
  'flags-open': { advice: 'Have differences explained and missing counts entered, or ask an owner to let the settlement pass with a reason.', withoutDetail: true },
  'boxes-not-counted': { advice: 'Enter the count of the removal, 0 if the box was empty. Where nobody can count it any more, ask an owner to let the settlement pass with a reason.', withoutDetail: true },
  'others-in-the-way': { title: 'By now, more stands in the way of the review', advice: 'Close this, ask for the review again, and look at all that is named then.', withoutDetail: true },
  'locks-not-changed': { advice: 'Change each of them or take it off, and confirm the step.' },
  'copies-not-called-in': { advice: 'Record for each that it was returned or destroyed, or say why it stays out, and close the case then.' },
  'settlement-paid': { advice: 'Take the payments off it, or undo what was written off, and try again.' },
  'settlement-in-payment-run': { advice: 'Cancel the payment run, or record what the bank paid and take the payment off, and try again.' },
  'later-settlement-stands': { advice: 'Only the latest one is reversed: reverse the later one first.' },
  'reversed-already': { advice: 'Settle the period anew from its month end.' },
  busy: { title: 'Somebody is changing the same thing', advice: again },
  'must-be-kept': { advice: 'Wait until then, or have the hold lifted.' },
  'no-longer-kept': { advice: 'How long each kind of record is kept stands on the page about keeping records.' },
  'changed-meanwhile': { advice: 'Load the page again, look at what changed, and repeat what you did if it still holds.' },
  'body-too-large': { title: 'This is too much at once', advice: 'Send less, or a file with fewer lines.' },
  'invalid-command': { title: 'This cannot be carried out as it is filled in', advice: 'Correct it and try again.' },
  'file-not-readable': { advice: 'Put the file right and upload it again.' },
  'too-many-requests': { title: 'That was too often', advice: again },
  'sign-in-locked': { advice: 'Wait a while before the next one. An owner of the operator can give you a link to set a new password.' },
  unexpected: { advice: 'Try again. If it fails again, report it.' },
  'statement-in-preparation': { advice: again },
  'key-out-of-reach': { advice: 'Try again later. If it goes on, ask whoever runs this server to look after the program that signs.' },
  'no-certificate': { advice: 'Ask an owner to bring another certificate, or to have one made, under “Signature of your statements”.' },
  'not-ready': { title: 'Latchledger is not ready yet', advice: again },
};
