/**
 * How mails that go out in the background are tried again, for every table of them: a row `mail` has `state`, `attempts` and
 * `changed_at`, and `moment` is the parameter that says when it is asked.
 */

/** Longer than any mail takes. */
const SENDING_MINUTES = 10;
/** With the pauses doubling from a minute, most of a day. */
const MOST_ATTEMPTS = 11;

export type MailOutcome = 'sent' | 'refused' | 'unclear';

type Asked = { readonly mail: string; readonly moment: string };

/** SQL: whether it was refused and will go out again, sooner or later. */
export function isTriedAgain({ mail }: Pick<Asked, 'mail'>): string {
  return `(${mail}.state = 'refused' AND ${mail}.attempts < ${MOST_ATTEMPTS})`;
}

/** SQL: whether it was refused and its pause is over. */
export function isDueAgain({ mail, moment }: Asked): string {
  return `(${isTriedAgain({ mail })} AND ${mail}.changed_at <= ${moment}::timestamptz - interval '1 minute' * 2 ^ (${mail}.attempts - 1))`;
}

/** SQL: whether it has been on its way for so long that whoever was sending it has died over it. */
export function isLost({ mail, moment }: Asked): string {
  return `(${mail}.state = 'sending' AND ${mail}.changed_at < ${moment}::timestamptz - interval '${SENDING_MINUTES} minutes')`;
}
