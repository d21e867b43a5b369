import type { FastifyReply, FastifyRequest } from 'fastify';

/**
 * The session cookie: not readable by scripts, not sent from other sites. Over https its name begins with `__Host-`, which
 * makes browsers refuse it from a sister domain or without Secure (RFC 6265bis section 4.1.3.2).
 */
const NAME = 'latchledger-session';
const SECURE_NAME = `__Host-${NAME}`;

export function sessionSecretIn(request: FastifyRequest, secure: boolean): string | undefined {
  return request.cookies[secure ? SECURE_NAME : NAME];
}

export function setSessionCookie(reply: FastifyReply, cookie: { secret: string; secure: boolean; expires: Date }): void {
  void reply.setCookie(cookie.secure ? SECURE_NAME : NAME, cookie.secret, {
    path: '/',
    httpOnly: true,
    secure: cookie.secure,
    // Lax, so that a link in a mail opens the console signed in; changes need the header that no other site can send.
    sameSite: 'lax',
    expires: cookie.expires,
  });
}

export function clearSessionCookie(reply: FastifyReply, secure: boolean): void {
  void reply.clearCookie(secure ? SECURE_NAME : NAME, { path: '/', httpOnly: true, secure, sameSite: 'lax' });
}
