import { applyDecorators, HttpCode, SetMetadata } from '@nestjs/common';
import { RouteConfig } from '@nestjs/platform-fastify';
import type { Caller } from '#backoffice/caller';
import type { SignedIn } from '#backoffice/identity/session';
import type { Outcome } from '#contracts/outcome';
import type { ProblemCode } from '#contracts/problem';
import type { Action } from '#domain/permissions/table';
import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Readable } from 'node:stream';
import type { z } from 'zod';

/**
 * A file as an answer: its bytes, and the name a browser saves it under. A resumable one says how long the whole is, and from
 * which byte on these are; `etag` names this very file.
 */
export type FileAnswer = {
  bytes: Uint8Array | Readable;
  fileName: string;
  resumable?: { readonly etag: string; readonly sizeBytes: number; readonly startByte: number };
};

/** What a route says about itself. Guard, parser, answer and OpenAPI document all read this and nothing else. */
export type EndpointDeclaration<
  Params extends z.ZodType = z.ZodType,
  Query extends z.ZodType = z.ZodType,
  Body extends z.ZodType = z.ZodType,
  Answer extends z.ZodType = z.ZodType,
> = {
  /** One line for the reference page, beginning with a verb. */
  readonly summary: string;
  readonly description?: string;
  /** The action of the permission table, or who may come without one. `account` is anybody signed in, at no operator. */
  readonly access: Action | 'public' | 'account';
  readonly params?: Params;
  readonly query?: Query;
  readonly body?: Body;
  /** The body is a file of this media type, handed on as a stream of at most `limitBytes`. */
  readonly upload?: { readonly mediaType: string; readonly limitBytes: number };
  readonly status?: 200 | 201 | 202 | 204;
  /** Shape of the answer; what it does not name is never sent. Leave out with status 204. */
  readonly answer?: Answer;
  /** The answer is a file of this media type instead. */
  readonly file?: string;
  /** Creates or moves something: needs an Idempotency-Key, and a repetition answers what the first one answered. */
  readonly once?: true;
  /** `shown`: the answer has a `revision`, sent as ETag. `needed`: also, the request must name it in If-Match. */
  readonly revision?: 'shown' | 'needed';
  /** Codes of the problem table that this route adds to those that follow from the rest of the declaration. */
  readonly problems?: readonly ProblemCode[];
  /** The answer holds sentences, in the language that Accept-Language asks for. */
  readonly spoken?: true;
  /** Takes something that could be guessed: a stricter limit per client address. */
  readonly guessable?: true;
  /** Reckons for long: a limit of its own per client address. */
  readonly costly?: true;
  /** Asked by devices with a token each: a limit per token, beside that of the client address. */
  readonly byToken?: true;
};

type Parsed<Schema> = Schema extends z.ZodType ? z.output<Schema> : undefined;

/** What a handler is given: the parsed request and who sent it. */
export type AskedFor<Declaration = EndpointDeclaration> = {
  caller: Declaration extends { access: Action } ? Caller : undefined;
  /** Who signed in, on routes of the account itself. */
  signedIn: Declaration extends { access: 'account' } ? SignedIn : undefined;
  params: Declaration extends { params: infer Schema } ? Parsed<Schema> : undefined;
  query: Declaration extends { query: infer Schema } ? Parsed<Schema> : undefined;
  body: Declaration extends { upload: object } ? Readable : Declaration extends { body: infer Schema } ? Parsed<Schema> : undefined;
  /** Revision named by If-Match. */
  expectedRevision: Declaration extends { revision: 'needed' } ? number : undefined;
  request: FastifyRequest;
  /** For routes that set cookies; answers are sent by returning them. */
  reply: FastifyReply;
};

/** What a handler must return. */
export type Answered<Declaration> = Promise<
  Outcome<
    Declaration extends { answer: infer Schema extends z.ZodType }
      ? z.input<Schema>
      : Declaration extends { file: string }
        ? FileAnswer
        : unknown
  >
>;

const ENDPOINT = 'latchledger:endpoint';

/**
 * Declares a route beside Nest's own `@Get()`, `@Post()` ... The compiler checks that the handler takes what the
 * declaration parses and returns what it promises; a route without a declaration stops the program at start.
 */
export function Endpoint<const Declaration extends EndpointDeclaration>(declaration: Declaration) {
  const status = declaration.status ?? 200;
  const decorate = applyDecorators(
    SetMetadata(ENDPOINT, declaration),
    HttpCode(status),
    RouteConfig({ limit: declaration.guessable === true ? 'guess' : declaration.costly === true ? 'costly' : 'request', byToken: declaration.byToken === true }),
  );
  return (
    target: object,
    property: string,
    descriptor: Pick<TypedPropertyDescriptor<(asked: AskedFor<Declaration>) => Answered<Declaration>>, 'value'>,
  ): void => decorate(target, property, descriptor);
}

/** The declaration of a handler, or `undefined` if it has none. */
export function endpointOf(handler: object): EndpointDeclaration | undefined {
  return Reflect.getMetadata(ENDPOINT, handler) as EndpointDeclaration | undefined;
}
