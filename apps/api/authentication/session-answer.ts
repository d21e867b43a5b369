import type { Account } from '#contracts/account';
import type { OpenedSession } from '#backoffice/identity/open-session';
import { done, type Outcome } from '#contracts/outcome';
import type { FastifyReply } from 'fastify';
import { setSessionCookie } from './cookie';

/** Puts the secret of an opened session into its cookie and answers with the account. */
export function answerSession(outcome: Outcome<OpenedSession>, target: { reply: FastifyReply; secure: boolean }): Outcome<Account> {
  if (!outcome.ok) return outcome;
  const { secret, expires, account } = outcome.value;
  setSessionCookie(target.reply, { secret, expires, secure: target.secure });
  return done(account);
}
