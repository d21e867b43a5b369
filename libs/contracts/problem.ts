import { z } from 'zod';

/**
 * The one table of problem codes (RFC 9457). A use case names a code, the API turns it into a document, the
 * OpenAPI text lists the table. `title` is the same for every occurrence; `advice` says what to do about it.
 * A code is a promise to callers: add rows, never change the meaning of one.
 */
export const problems = {
  'invalid-request': row(400, 'The request is not well formed', 'Correct the fields listed in `errors` and send it again.'),
  'invalid-cursor': row(400, 'The cursor is not one that this list gave out', 'Start again without `cursor`.'),
  'operator-missing': row(400, 'The request does not say for which operator it is', 'You belong to several operators: send the id or code of one in the `Latchledger-Operator` header.'),
  'idempotency-key-missing': row(400, 'This request needs an Idempotency-Key header', 'Send a new random key (a UUID serves) with each new thing, and the same key when repeating a request that got no answer.'),
  'not-signed-in': row(401, 'You are not signed in', 'Sign in, or send a valid API token as bearer token.'),
  'sign-in-refused': row(401, 'E-mail address, password or code is not right', 'Check both, or ask an owner for a link to set a new password.'),
  'not-allowed': row(403, 'Your role does not allow this', 'Ask an owner of the operator.'),
  'not-allowed-in-state': row(403, 'Your role does not allow this in the present state', 'See the state in `detail`; another state or role is needed.'),
  'being-counted': row(403, 'A collection there is planned or being counted', 'Whoever counts is not shown what boxes should hold. Ask again when it is accepted, or ask a colleague who has no hand in it.'),
  'second-person-needed': row(403, 'Somebody else has to do this', 'Ask a colleague who may: nobody corrects or discards what they recorded themselves, nor receives or opens a bag that they filled.'),
  'scope-missing': row(403, 'The API token does not have the scope for this', 'Use a token with the scope named in `detail`, or sign in: some actions are closed to tokens.'),
  'second-factor-needed': row(403, 'This operator asks for a second factor', 'Set up a second factor for your account, or give the code if you have one, then repeat the request.'),
  'cross-site-request': row(403, 'The request did not come from this application', 'Send the `Latchledger-Csrf` header with the value that `GET /v1/account` gives, from the same origin.'),
  'not-found': row(404, 'There is no such thing here', 'Check the id, and that it belongs to the operator that the request names.'),
  'route-not-found': row(404, 'There is no such address', 'See /openapi.json for all addresses.'),
  'request-in-flight': row(409, 'A request with this Idempotency-Key is still being worked on', 'Wait a moment and repeat it with the same key.'),
  'wrong-state': row(409, 'The present state does not allow this', 'See `detail` for the state it is in and the one it would need.'),
  'already-exists': row(409, 'There is one already', 'Choose another code or value for the fields listed in `errors`.'),
  'file-accepted-before': row(409, 'The same file is in the books already', 'See `detail` for the earlier upload. Discard this one.'),
  'file-outdated': row(409, 'The books have changed since this file was checked', 'Discard it and upload it again: the check then names the lines.'),
  'period-already-closed': row(409, 'The period is closed already', 'See `detail` for the run that closed it. What is missing in it is settled by that run.'),
  'period-not-over': row(409, 'The period is not over yet', 'See `detail` for the day from which it can be closed.'),
  'nothing-to-close': row(409, 'No agreement is settled in this period', 'Check the cycle and the first day: agreements of that cycle have a period that begins then.'),
  'cannot-be-settled': row(409, 'Something stands in the way of this settlement', 'See `detail`, mend it, and try again.'),
  'draft-is-stale': row(409, 'What the draft was computed from has changed', 'See `detail` for what changed. Recompute the draft and look at it again.'),
  'no-tax-in-force': row(409, 'No tax of this area is in force in the month', 'Add the dated rows of its taxes first, or choose another month.'),
  'journal-closed': row(409, 'The journal is closed for this day', 'Book it to a later day where the address takes one, or ask an owner to reopen the journal.'),
  'figures-changed': row(409, 'The figures have changed since you read them', 'Read the worksheet again, compare it with what was filed, and send its digest.'),
  'settlement-held': row(409, 'The draft is held', 'See `detail` for the reason. Release it first.'),
  'flags-open': row(409, 'Differences between counts and meters are not explained', 'See `errors` for each flag, and each box that nobody counted. Have them explained and counted, or ask the owner to let the settlement pass.'),
  'boxes-not-counted': row(409, 'A machine left, and nobody counted what was in its box', 'See `errors` for each machine. Enter the count of the removal, 0 if the box was empty, or ask the owner to let the settlement pass.'),
  'others-in-the-way': row(409, 'More stands in the way of the review than you named', 'See `errors` for what you did not name. Ask for the review again, look at all that it names, and name it.'),
  'limits-not-kept': row(409, 'The figures break a limit of the law of the place', 'See `detail` for the rule and its source; change the terms or the charges.'),
  'locks-not-changed': row(409, 'Locks still take the old key', 'See `detail` for each of them. Change it or take it off, and confirm the step.'),
  'copies-not-called-in': row(409, 'Copies of the old key are still out', 'See `detail` for each of them. Record that it was returned or destroyed, or confirm a step `copy-left-out` that says why it stays out.'),
  'statement-not-issued': row(409, 'There is no statement yet', 'It is made when the settlement is issued.'),
  'settlement-paid': row(409, 'Something of this settlement is paid or written off', 'See `detail`. Take the payments off it, or undo what was written off; then reverse it.'),
  'settlement-in-payment-run': row(409, 'A payment run whose file is made pays this settlement', 'See `detail` for the run. Cancel it, or record what the bank paid and take the payment off; then reverse it.'),
  'later-settlement-stands': row(409, 'A later settlement of the agreement rests on this one', 'See `detail`. Only the latest is reversed: reverse the later one first.'),
  'reversed-already': row(409, 'It was reversed already', 'A reversal is not taken back. Settle the period anew.'),
  'wrong-person': row(409, 'Somebody else confirms this', 'Only who gave or received the key, or answers for the store or place, confirms it.'),
  'confirmed-already': row(409, 'This side has confirmed already', 'Nothing is left to do.'),
  'visit-differs': row(409, 'This visit came already, with other figures', 'Enter what is different as a visit of its own, or ask the office to correct the one that came.'),
  'visit-out-of-order': row(409, 'A later visit of this device came already', 'Give it a number above those that were sent.'),
  'device-not-released': row(409, 'A phone of yours was revoked', 'Ask the owner or a bookkeeper to release your account; then register this phone.'),
  'device-revoked': row(409, 'The device was revoked', 'What it sent is kept aside for the office to settle.'),
  'webhook-limit': row(409, 'There are as many webhooks as an operator may have', 'Remove one that is not needed any more.'),
  'busy': row(409, 'Another change to the same thing is under way', 'Repeat the request.'),
  'no-longer-kept': row(410, 'It was removed when it needed not be kept any more', 'See `detail` for what stays of it. How long each kind of record is kept is at `GET /v1/retention`.'),
  'must-be-kept': row(409, 'It has to be kept for longer', 'See `detail` for until when and by which law, or for the hold that stands.'),
  'changed-meanwhile': row(412, 'Somebody changed this since you read it', 'Read it again, look at what changed, and send your change with the new ETag.'),
  'body-too-large': row(413, 'The request body is too large', 'Send less at once, or use the file import.'),
  'unsupported-media-type': row(415, 'The body is of a kind that this address does not take', 'Send `application/json`, or what /openapi.json names for this address.'),
  'invalid-command': row(422, 'The request is well formed but cannot be carried out', 'See `errors` for each field and reason.'),
  'idempotency-key-reused': row(422, 'This Idempotency-Key was used for a different request', 'Use a new key for a new request; repeat an old one unchanged.'),
  'no-agreement': row(422, 'No terms hold at this site on this day', 'Record the agreement or its version first, or book the collection to another day.'),
  'file-not-readable': row(422, 'The file cannot be read', 'See `detail` and `errors`, mend the file and upload it again.'),
  'password-too-weak': row(422, 'The password is too short or too common', 'Choose at least 12 characters that nobody would guess.'),
  'link-unusable': row(422, 'This link was used, withdrawn or has expired', 'Ask for a new one.'),
  'second-factor-wrong': row(422, 'The code is not right', 'Wait for the next code and check the clock of your device.'),
  'last-owner': row(422, 'An operator keeps at least one owner', 'Make somebody else an owner first.'),
  'account-shared': row(422, 'This account also belongs to another operator', 'Only its holder can do this, after signing in.'),
  'version-missing': row(428, 'This request needs an If-Match header', 'Read the thing and send the value of its ETag header.'),
  'too-many-requests': row(429, 'Too many requests', 'Wait as long as the Retry-After header says.'),
  'sign-in-locked': row(429, 'Too many failed attempts', 'Wait as long as the Retry-After header says. An owner can give out a link to set a new password.'),
  'unexpected': row(500, 'Something went wrong on our side', 'Repeat the request; if it fails again, report the request id.'),
  'statement-in-preparation': row(503, 'The statement is being made', 'Wait a moment and repeat the request.'),
  'key-out-of-reach': row(503, 'The key that signs does not answer', 'Repeat the request later. If it goes on, ask whoever runs the installation to look after the signing command and its token.'),
  'no-certificate': row(503, 'There is no certificate to sign under', 'The one in use has expired or is revoked. An owner brings another one, or has one made.'),
  'not-ready': row(503, 'The service is not ready', 'Wait a moment and repeat the request.'),
} as const;

export type ProblemCode = keyof typeof problems;

/** Where in the request: `body` pointers are RFC 6901 as URI fragments (`#/shares/0`), others name the parameter. */
export const fieldErrorSchema = z
  .strictObject({
    in: z.enum(['body', 'query', 'path', 'header']).describe('Part of the request that the pointer is about.'),
    pointer: z.string().describe('JSON pointer (RFC 6901) as a URI fragment for the body, else the parameter name.'),
    code: z.string().describe('Stable reason, in lower case with hyphens.'),
    message: z.string().describe('The reason for people.'),
    values: z.record(z.string(), z.string()).optional().describe('What the message names, for programs that say it in another language: days (ISO 8601) as `day` and `until`, and by the code `currency`, `machine`, `site` or `limit`; of what stands in the way of a review the ids, as `flagId`, or `placementId` and `machineId`, or of a box whose meters cannot tell what it held `collectionId` and, where these are recorded, `machineId`; of terms the figures in question, as `percent`, `highest`, `least`, `most`, `next`, `cap`, `sum`, `operatorPercent`, `sitePercent`, and `source`, the law that says so.'),
  })
  .meta({ id: 'FieldError' });
export type FieldError = z.infer<typeof fieldErrorSchema>;

/** The document that every refused request answers with, as `application/problem+json`. */
export const problemSchema = z
  .object({
    type: z.string().describe('Address of the description of this code.'),
    title: z.string(),
    status: z.int(),
    code: z.enum(Object.keys(problems) as [ProblemCode, ...ProblemCode[]]),
    detail: z.string().optional().describe('What is special about this occurrence.'),
    advice: z.string().describe('What to do about it.'),
    requestId: z.string().describe('Name it when reporting the problem.'),
    errors: z.array(fieldErrorSchema).optional(),
  })
  .meta({ id: 'Problem' });
export type Problem = z.infer<typeof problemSchema>;

/** Why a use case refused, as data. `errors` point into the request body. */
export type Failure = {
  readonly code: ProblemCode;
  readonly detail?: string;
  readonly errors?: readonly FieldError[];
  /** Whole seconds until trying again makes sense, for 429 and 503. */
  readonly retryAfterSeconds?: number;
};

function row<Status extends number>(status: Status, title: string, advice: string) {
  return { status, title, advice };
}
