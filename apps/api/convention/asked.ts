import { createParamDecorator, type ExecutionContext } from '@nestjs/common';
import { bodyField } from '#contracts/outcome';
import type { FieldError } from '#contracts/problem';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { Readable, Transform } from 'node:stream';
import type { z } from 'zod';
import { endpointOf, type AskedFor, type EndpointDeclaration } from './endpoint';
import { ProblemException } from './problem';
import { NEEDED, wordsOfIssue } from './words-of-issue';

/** Gives a handler its request, parsed as its declaration says. Anything else in the request is refused. */
export const Asked = createParamDecorator((_data: unknown, context: ExecutionContext): AskedFor => {
  const endpoint = endpointOf(context.getHandler());
  if (endpoint === undefined) throw new Error(`${context.getClass().name} has a route without a declaration`);
  const request = context.switchToHttp().getRequest<FastifyRequest>();
  const errors: FieldError[] = [];
  const parsed = {
    caller: request.caller,
    signedIn: request.signedIn,
    params: parsePart(endpoint.params, request.params, 'path', errors),
    query: parsePart(endpoint.query, request.query, 'query', errors),
    body: bodyOf(endpoint, request, errors),
    expectedRevision: endpoint.revision === 'needed' ? revisionOf(request) : undefined,
    request,
    reply: context.switchToHttp().getResponse<FastifyReply>(),
  };
  // An id that is no id is an unknown id: whoever guesses learns nothing from the difference.
  if (errors.some((error) => error.in === 'path')) throw new ProblemException({ code: 'not-found' });
  if (errors.length > 0) throw new ProblemException({ code: 'invalid-request', errors });
  return parsed as unknown as AskedFor;
});

function bodyOf(endpoint: EndpointDeclaration, request: FastifyRequest, errors: FieldError[]): unknown {
  const isFile = request.body instanceof Readable;
  if (isFile !== (endpoint.upload !== undefined)) throw new ProblemException({ code: 'unsupported-media-type' });
  if (endpoint.upload === undefined) return parsePart(endpoint.body, request.body ?? {}, 'body', errors);
  return limited(request.body as Readable, endpoint.upload.limitBytes);
}

function parsePart(
  schema: z.ZodType | undefined,
  value: unknown,
  part: FieldError['in'],
  errors: FieldError[],
): unknown {
  if (schema === undefined) return undefined;
  const result = schema.safeParse(value, { error: wordsOfIssue });
  if (result.success) return result.data;
  for (const issue of result.error.issues) errors.push(...fieldErrors(issue, part));
  return undefined;
}

/** One entry per field: keys that do not belong there are named one by one. */
function fieldErrors(issue: z.core.$ZodIssue, part: FieldError['in']): FieldError[] {
  const at = (path: readonly PropertyKey[]) =>
    part === 'body' ? bodyField(path) : { in: part, pointer: path.map(String).join('.') };
  if (issue.code === 'unrecognized_keys') {
    return issue.keys.map((key) => ({ ...at([...issue.path, key]), code: 'unknown-field', message: 'There is no such field here.' }));
  }
  return [{ ...at(issue.path), code: codeOf(issue), message: issue.message, ...limitOf(issue) }];
}

/** The bound that was not kept, for whoever says it in another language. */
function limitOf(issue: z.core.$ZodIssue): Pick<FieldError, 'values'> {
  const limit = issue.code === 'too_big' ? issue.maximum : issue.code === 'too_small' ? issue.minimum : null;
  return limit === null ? {} : { values: { limit: String(limit) } };
}

/** Codes of our own, so that a new version of the parser does not change what callers rely on. */
function codeOf(issue: z.core.$ZodIssue): string {
  switch (issue.code) {
    case 'invalid_type':
      return issue.message === NEEDED ? 'missing' : 'wrong-type';
    case 'too_big':
      return 'too-large';
    case 'too_small':
      return 'too-small';
    case 'invalid_format':
      return 'wrong-format';
    case 'invalid_value':
      return 'not-one-of';
    case 'invalid_union':
      return 'no-known-form';
    case 'custom':
      return typeof issue.params?.['code'] === 'string' ? issue.params['code'] : 'not-valid';
    default:
      return 'not-valid';
  }
}

/** The number inside `If-Match: "7"`. RFC 9110 section 13.1.1; weak tags never match. */
function revisionOf(request: FastifyRequest): number {
  const header = request.headers['if-match'];
  if (header === undefined) throw new ProblemException({ code: 'version-missing' });
  const match = /^"([1-9][0-9]{0,8})"$/.exec(header.trim());
  if (match?.[1] === undefined) throw new ProblemException({ code: 'changed-meanwhile' });
  return Number(match[1]);
}

/** Ends an upload that is larger than its route allows, whatever its Content-Length claimed. */
function limited(source: Readable, limitBytes: number): Readable {
  let seenBytes = 0;
  const limit = new Transform({
    transform(chunk: Buffer, _encoding, next) {
      seenBytes += chunk.length;
      if (seenBytes > limitBytes) next(new ProblemException({ code: 'body-too-large' }));
      else next(null, chunk);
    },
  });
  source.on('error', (error) => limit.destroy(error));
  // What is still on its way is let run out: a connection that nobody reads is never idle, and holds up the end of the server.
  limit.on('close', () => source.resume());
  return source.pipe(limit);
}
