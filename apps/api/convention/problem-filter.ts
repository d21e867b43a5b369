import { Catch, HttpException, type ArgumentsHost, type ExceptionFilter } from '@nestjs/common';
import type { Failure, ProblemCode } from '#contracts/problem';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { problemDocument, ProblemException } from './problem';

/** What Fastify and its plugins refuse by themselves, by status. Any other exception is a bug of ours. */
const byStatus: { readonly [status: number]: ProblemCode } = {
  400: 'invalid-request',
  404: 'route-not-found',
  413: 'body-too-large',
  415: 'unsupported-media-type',
  429: 'too-many-requests',
};

/** Turns everything thrown into a problem document. A bug is logged whole and answered with nothing but the request id. */
@Catch()
export class ProblemFilter implements ExceptionFilter {
  catch(exception: unknown, host: ArgumentsHost): void {
    const request = host.switchToHttp().getRequest<FastifyRequest>();
    const reply = host.switchToHttp().getResponse<FastifyReply>();
    sendFailure({ failure: failureOf(exception), exception, request, reply });
  }
}

export function sendFailure(input: {
  failure: Failure;
  exception?: unknown;
  request: FastifyRequest;
  reply: FastifyReply;
}): void {
  const { failure, exception, request, reply } = input;
  const document = problemDocument(failure, request.id);
  request.problemCode = failure.code;
  if (failure.code === 'unexpected') request.log.error({ err: exception }, 'unexpected exception');
  if (reply.sent || reply.raw.headersSent) {
    // Part of the answer is out already, so a document would be mistaken for its end. Cutting the line is the only honest sign.
    reply.raw.destroy();
    return;
  }
  if (failure.retryAfterSeconds !== undefined) void reply.header('Retry-After', String(failure.retryAfterSeconds));
  if (document.status === 401) void reply.header('WWW-Authenticate', 'Bearer');
  void reply
    .status(document.status)
    .header('Content-Type', 'application/problem+json')
    .header('Cache-Control', 'no-store')
    .send(document);
}

export function failureOf(exception: unknown): Failure {
  if (exception instanceof ProblemException) return exception.failure;
  const status = statusOf(exception);
  const code = status === undefined ? undefined : byStatus[status];
  if (code === undefined) return { code: 'unexpected' };
  return code === 'invalid-request' ? { code, detail: 'The body is not valid JSON, or a header is malformed.' } : { code };
}

function statusOf(exception: unknown): number | undefined {
  if (exception instanceof HttpException) return exception.getStatus();
  if (typeof exception === 'object' && exception !== null && 'statusCode' in exception) {
    return typeof exception.statusCode === 'number' ? exception.statusCode : undefined;
  }
  return undefined;
}
