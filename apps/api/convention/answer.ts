import { Injectable, StreamableFile, type CallHandler, type ExecutionContext, type NestInterceptor } from '@nestjs/common';
import type { Outcome } from '#contracts/outcome';
import type { FastifyReply } from 'fastify';
import { Readable } from 'node:stream';
import { map, type Observable } from 'rxjs';
import { endpointOf, type EndpointDeclaration, type FileAnswer } from './endpoint';
import { ProblemException } from './problem';

/** Turns what a use case answered into the response that its route declares. */
@Injectable()
export class AnswerInterceptor implements NestInterceptor {
  intercept(context: ExecutionContext, next: CallHandler<Outcome<unknown>>): Observable<unknown> {
    const endpoint = endpointOf(context.getHandler());
    if (endpoint === undefined) return next.handle();
    const reply = context.switchToHttp().getResponse<FastifyReply>();
    return next.handle().pipe(map((outcome) => toResponse({ outcome, endpoint, reply })));
  }
}

function toResponse(input: {
  outcome: Outcome<unknown>;
  endpoint: EndpointDeclaration;
  reply: FastifyReply;
}): unknown {
  const { outcome, endpoint, reply } = input;
  if (!outcome.ok) throw new ProblemException(outcome.failure);
  // Answers belong to one person at one operator; nobody in between may keep them.
  void reply.header('Cache-Control', 'no-store');
  if (outcome.replayed === true) void reply.header('Idempotency-Replayed', 'true');
  if (endpoint.file !== undefined) {
    const file = outcome.value as FileAnswer;
    if (file.resumable !== undefined) sayPart(file.resumable, reply);
    return toFile(file, endpoint.file);
  }
  if (endpoint.answer === undefined) return undefined;
  // A field that the declaration does not name, or that is missing, is our bug: a 500 rather than something said too much.
  const body = endpoint.answer.parse(outcome.value);
  if (endpoint.revision !== undefined) void reply.header('ETag', `"${revisionIn(body)}"`);
  return body;
}

/** RFC 9110 sections 14.3 and 14.4. The status 206 follows from Content-Range, when the answer is sent. */
function sayPart({ etag, sizeBytes, startByte }: NonNullable<FileAnswer['resumable']>, reply: FastifyReply): void {
  void reply.header('Accept-Ranges', 'bytes').header('ETag', etag).header('Content-Length', sizeBytes - startByte);
  if (startByte > 0) void reply.header('Content-Range', `bytes ${startByte}-${sizeBytes - 1}/${sizeBytes}`);
}

function toFile(file: FileAnswer, mediaType: string): StreamableFile {
  const stream = file.bytes instanceof Readable ? file.bytes : Readable.from([file.bytes]);
  // The plain form for old clients, the encoded form (RFC 6266, RFC 8187) for names outside ASCII.
  const plain = file.fileName.replace(/[^A-Za-z0-9._-]/g, '_');
  return new StreamableFile(stream, {
    type: mediaType,
    disposition: `attachment; filename="${plain}"; filename*=UTF-8''${encodeURIComponent(file.fileName)}`,
    ...(file.bytes instanceof Readable ? {} : { length: file.bytes.length }),
  });
}

function revisionIn(body: unknown): number {
  if (typeof body === 'object' && body !== null && 'revision' in body && typeof body.revision === 'number') return body.revision;
  throw new Error('a route that shows revisions answered without one');
}
