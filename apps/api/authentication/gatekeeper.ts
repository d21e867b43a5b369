import { Inject, Injectable, type CanActivate, type ExecutionContext } from '@nestjs/common';
import { authenticateApiToken } from '#backoffice/api-token/authenticate';
import type { Caller, Once } from '#backoffice/caller';
import type { Backoffice } from '#backoffice/dependencies';
import { readSession } from '#backoffice/identity/read-session';
import { csrfValue, type Membership, type SignedIn } from '#backoffice/identity/session';
import { denialFailure } from '#backoffice/perform';
import { denial } from '#domain/permissions/can';
import type { Actor } from '#domain/permissions/role';
import type { Action } from '#domain/permissions/table';
import type { FastifyRequest } from 'fastify';
import { createHash, timingSafeEqual } from 'node:crypto';
import { endpointOf, type EndpointDeclaration } from '../convention/endpoint';
import { languageAsked } from '../convention/language';
import { ProblemException } from '../convention/problem';
import { API_OPTIONS, BACKOFFICE, isSecure, type ApiOptions } from '../options';
import { sessionSecretIn } from './cookie';

/**
 * Lets a request through to its route, or not: who is it, does it come from here, for which operator, and is there
 * anything at all that this role could do with the route's action. What depends on the thing itself (state, site) is
 * asked by the use case inside its transaction.
 */
@Injectable()
export class Gatekeeper implements CanActivate {
  constructor(
    @Inject(BACKOFFICE) private readonly backoffice: Backoffice,
    @Inject(API_OPTIONS) private readonly options: ApiOptions,
  ) {}

  async canActivate(context: ExecutionContext): Promise<boolean> {
    const endpoint = endpointOf(context.getHandler());
    if (endpoint === undefined) throw new Error(`${context.getClass().name} has a route without a declaration`);
    const request = context.switchToHttp().getRequest<FastifyRequest>();
    if (endpoint.access === 'public') {
      this.refuseForeignOrigin(request);
      return true;
    }
    if (endpoint.access === 'account') {
      request.signedIn = await this.sessionOf(request);
      return true;
    }
    const actor = await this.actorOf(request, endpoint);
    const denied = denial(actor, endpoint.access);
    if (denied !== null) throw new ProblemException(denialFailure(denied, endpoint.access));
    request.caller = this.callerOf({ request, actor, endpoint, action: endpoint.access });
    return true;
  }

  private async actorOf(request: FastifyRequest, endpoint: EndpointDeclaration): Promise<Actor> {
    const bearer = /^Bearer ([\x21-\x7e]{1,200})$/i.exec(request.headers.authorization ?? '')?.[1];
    if (bearer !== undefined) {
      const token = await authenticateApiToken(this.backoffice, bearer);
      if (token === null) throw new ProblemException({ code: 'not-signed-in' });
      const named = operatorNamed(request, endpoint);
      if (named !== undefined && named !== token.actor.tenantId && named !== token.operatorCode) {
        throw new ProblemException({ code: 'not-found' });
      }
      return token.actor;
    }
    const signedIn = await this.sessionOf(request);
    if (signedIn.secondFactor === 'awaited') throw new ProblemException({ code: 'not-signed-in', detail: 'The code of the second factor is missing.' });
    const membership = membershipOf(signedIn, operatorNamed(request, endpoint));
    if (membership.secondFactorRequired && signedIn.secondFactor !== 'given') throw new ProblemException({ code: 'second-factor-needed' });
    const { tenantId, role, siteIds, personId } = membership;
    return { kind: 'user', id: signedIn.accountId, tenantId, role, siteIds, personId };
  }

  private async sessionOf(request: FastifyRequest): Promise<SignedIn> {
    const secret = sessionSecretIn(request, isSecure(this.options));
    const signedIn = secret === undefined ? null : await readSession(this.backoffice, secret);
    if (secret === undefined || signedIn === null) throw new ProblemException({ code: 'not-signed-in' });
    if (!isSafe(request.method)) {
      this.refuseForeignOrigin(request);
      if (!sameText(request.headers['latchledger-csrf'], csrfValue(secret))) throw new ProblemException({ code: 'cross-site-request' });
    }
    return signedIn;
  }

  /** Browsers say where a changing request comes from; programs without an origin are no browsers that could be tricked. */
  private refuseForeignOrigin(request: FastifyRequest): void {
    if (isSafe(request.method)) return;
    const { origin } = request.headers;
    const site = request.headers['sec-fetch-site'];
    if (origin !== undefined && !this.isOwnOrigin(origin, request)) throw new ProblemException({ code: 'cross-site-request' });
    if (site !== undefined && site !== 'same-origin' && site !== 'none') throw new ProblemException({ code: 'cross-site-request' });
  }

  /** The configured origin, or the very host that the browser sent this request to: no other site can choose either. */
  private isOwnOrigin(origin: string, request: FastifyRequest): boolean {
    return origin === this.options.publicOrigin || origin.replace(/^https?:\/\//, '') === request.headers.host;
  }

  private callerOf(input: { request: FastifyRequest; actor: Actor; endpoint: EndpointDeclaration; action: Action }): Caller {
    const { request, actor, endpoint, action } = input;
    const language = endpoint.spoken ? languageAsked(request.headers['accept-language']) : undefined;
    return {
      ...actor,
      requestId: request.id,
      action,
      ...(language === undefined ? {} : { language }),
      ...(endpoint.once ? { once: onceOf({ request, status: endpoint.status ?? 200, digestsOf: this.options.digestsOf }) } : {}),
    };
  }
}

function isSafe(method: string): boolean {
  return method === 'GET' || method === 'HEAD' || method === 'OPTIONS';
}

function sameText(given: unknown, expected: string): boolean {
  if (typeof given !== 'string') return false;
  const digest = (text: string) => createHash('sha256').update(text).digest();
  return timingSafeEqual(digest(given), digest(expected));
}

/** By the header, or by the address where it is the link of a file, which a browser follows without headers of ours. */
function operatorNamed(request: FastifyRequest, endpoint: EndpointDeclaration): string | undefined {
  const inAddress = endpoint.file === undefined ? undefined : (request.query as { operator?: unknown }).operator;
  const named = request.headers['latchledger-operator'] ?? inAddress;
  return typeof named === 'string' && named !== '' ? named.toLowerCase() : undefined;
}

/** An operator that one does not belong to is answered like one that does not exist. */
function membershipOf(signedIn: SignedIn, named: string | undefined): Membership {
  const { memberships } = signedIn;
  if (named === undefined) {
    const [only, ...others] = memberships;
    if (only === undefined) throw new ProblemException({ code: 'not-allowed', detail: 'Your account belongs to no operator.' });
    if (others.length > 0) throw new ProblemException({ code: 'operator-missing' });
    return only;
  }
  const membership = memberships.find(({ tenantId, code }) => tenantId === named || code === named);
  if (membership === undefined) throw new ProblemException({ code: 'not-found' });
  return membership;
}

/** RFC draft draft-ietf-httpapi-idempotency-key-header: one opaque key; quotes around it are allowed and not part of it. */
function onceOf({ request, status, digestsOf }: { request: FastifyRequest; status: number } & Pick<ApiOptions, 'digestsOf'>): Once {
  const header = request.headers['idempotency-key'];
  const key = typeof header === 'string' ? header.replace(/^"(.*)"$/, '$1').trim() : '';
  if (!/^[\x21-\x7e]{1,200}$/.test(key)) throw new ProblemException({ code: 'idempotency-key-missing' });
  // A stream is not read yet here; its length stands in for it, and what it holds is compared by whoever reads it.
  const body = isStream(request.body) ? String(request.headers['content-length'] ?? '') : bodyText(request.body);
  // Last without a key, as digests were kept once: whoever repeats a request over the change of version is known again.
  return { key, route: `${request.method} ${request.url}`, bodyDigests: [...digestsOf(body), createHash('sha256').update(body).digest()], status };
}

/** A body nested so deep that it cannot be written out again fits no contract: it is refused here, before one is asked. */
function bodyText(body: unknown): string {
  try {
    return JSON.stringify(body ?? null);
  } catch {
    throw new ProblemException({ code: 'invalid-request', detail: 'The body is nested too deeply.' });
  }
}

function isStream(body: unknown): boolean {
  return typeof body === 'object' && body !== null && 'pipe' in body;
}
