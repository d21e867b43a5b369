import fastifyStatic from '@fastify/static';
import { problems } from '#contracts/problem';
import { ATTACHMENT_SCHEMA_NAME, attachmentJsonSchema } from '#contracts/statement-attachment-schema';
import type { FastifyInstance } from 'fastify';
import { dirname } from 'node:path';

/** Serves /openapi.json, the schema of what is attached to statements, the reference page (its scripts from our own packages, nothing from elsewhere), and the problem codes. */
export async function serveReference(fastify: FastifyInstance, document: () => object): Promise<void> {
  // A quarter of a second, which only who asks for it should wait.
  let json: string | undefined;
  fastify.get('/openapi.json', (_request, reply) => reply.type('application/json').send((json ??= JSON.stringify(document()))));
  let attachmentSchema: string | undefined;
  fastify.get(`/${ATTACHMENT_SCHEMA_NAME}`, (_request, reply) => reply.type('application/schema+json').send((attachmentSchema ??= JSON.stringify(attachmentJsonSchema()))));
  await fastify.register(fastifyStatic, {
    root: dirname(require.resolve('swagger-ui-dist/package.json')),
    prefix: '/reference/assets/',
    decorateReply: false,
    // Nobody asks for parts of a page; a range past the end would be refused by a status that no problem has.
    acceptRanges: false,
    allowedPath: (path) => /^\/swagger-ui(-bundle)?\.(css|js)$/.test(path),
  });
  // The page's library writes style attributes; nothing else here may.
  const helmet = { contentSecurityPolicy: { useDefaults: false, directives: referencePolicy } };
  fastify.get('/reference', { helmet }, (_request, reply) => reply.type('text/html; charset=utf-8').send(page));
  fastify.get('/reference/start.js', (_request, reply) => reply.type('text/javascript; charset=utf-8').send(start));
  fastify.get('/reference/problems', { helmet }, (_request, reply) => reply.type('text/html; charset=utf-8').send(problemPage()));
}

const referencePolicy = {
  defaultSrc: ["'none'"],
  scriptSrc: ["'self'"],
  styleSrc: ["'self'", "'unsafe-inline'"],
  imgSrc: ["'self'", 'data:'],
  connectSrc: ["'self'"],
  frameAncestors: ["'none'"],
};

const page = `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>Latchledger API</title>
<link rel="stylesheet" href="/reference/assets/swagger-ui.css">
<style>#reference .markdown :is(td, th) + :is(td, th) { padding-inline-start: 1rem; }</style>
</head>
<body>
<div id="reference"></div>
<script src="/reference/assets/swagger-ui-bundle.js"></script>
<script src="/reference/start.js"></script>
</body>
</html>
`;

const start = `SwaggerUIBundle({ url: '/openapi.json', dom_id: '#reference', deepLinking: true, docExpansion: 'list', defaultModelsExpandDepth: 0 });\n`;

function problemPage(): string {
  const rows = Object.entries(problems).map(
    ([code, { status, title, advice }]) =>
      `<tr id="${code}"><th scope="row"><code>${code}</code></th><td>${status}</td><td>${title}.</td><td>${advice.replaceAll('<', '&lt;')}</td></tr>`,
  );
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>Problem codes</title>
<style>body{font:1rem/1.5 sans-serif;margin:2rem}table{border-collapse:collapse}th,td{text-align:left;vertical-align:top;padding:.4rem .8rem;border-bottom:1px solid #ccc}:target{background:#fff3c4}</style>
</head>
<body>
<h1>Problem codes</h1>
<table>
<thead><tr><th scope="col">Code</th><th scope="col">Status</th><th scope="col">What it says</th><th scope="col">What to do</th></tr></thead>
<tbody>
${rows.join('\n')}
</tbody>
</table>
</body>
</html>
`;
}
