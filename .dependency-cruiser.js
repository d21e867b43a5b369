// The house's layers, each with the reason that its message gives.
// domain <- contracts <- {database, statement} <- backoffice <- apps; runtime <- apps.
const room = (name) => `^libs/${name}/`;
const rule = (name, comment, from, to) => ({ name, severity: 'error', comment, from, to });
const test = '\\.test\\.tsx?$';

module.exports = {
  forbidden: [
    rule('domain-is-pure', 'The domain is plain TypeScript that also runs in the browser: it imports itself and @noble/hashes, nothing else.',
      { path: room('domain'), pathNot: test }, { pathNot: [room('domain'), 'node_modules/@noble/hashes'] }),
    rule('contracts-know-the-domain-only', 'Schemas describe the domain to the outside; they do not know how things are stored or served.',
      { path: room('contracts'), pathNot: test }, { pathNot: [room('domain'), room('contracts'), 'node_modules/zod'] }),
    rule('database-below-use-cases', 'The tenant transaction does not know who uses it.',
      { path: room('database'), pathNot: test }, { path: [room('backoffice'), room('statement'), room('runtime'), '^apps/'] }),
    rule('statement-below-use-cases', 'The page and its proof are made from a document, not from the database.',
      { path: room('statement'), pathNot: test }, { path: [room('backoffice'), room('database'), room('runtime'), '^apps/'] }),
    rule('use-cases-without-framework', 'Use cases are plain functions: no Nest, no queue, no process settings, so that tests and both apps call them alike.',
      { path: room('backoffice'), pathNot: test }, { path: [room('runtime'), '^apps/', 'node_modules/(@nestjs|fastify|bullmq|pino)'] }),
    rule('runtime-for-apps-only', 'What a process needs is wired by the apps; no library reaches for it.',
      { path: room('runtime'), pathNot: test }, { path: [room('backoffice'), room('statement'), room('contracts'), '^apps/'] }),
    rule('database-driver-behind-the-tenant-transaction', 'withTenant is the only way to a connection; pg and Prisma are opened in libs/database (and by processes that own the server).',
      { path: '^(libs/(backoffice|statement|contracts|domain)|apps/api)/', pathNot: test }, { path: 'node_modules/(pg|pg-[^/]+|@prisma)/' }),
    rule('apps-do-not-import-each-other', 'Two processes share code through libs, never sideways.',
      { path: '^apps/([^/]+)/' , pathNot: test }, { path: '^apps/', pathNot: ['^apps/$1/'] }),
    rule('tests-stay-out-of-the-product', 'Nothing that ships depends on test code.',
      { path: '^(apps|libs)/', pathNot: [test, '^apps/command/bench'] }, { path: '^tests/' }),
    rule('no-circles', 'A circle of imports hides which of two things is the simpler one.', {}, { circular: true }),
    rule('nothing-orphaned', 'A file that nobody imports is dead or forgotten.',
      { orphan: true, pathNot: [test, '^apps/', '^tests/', '\\.d\\.ts$', '\\.config\\.'] }, {}),
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    tsConfig: { fileName: 'tsconfig.json' },
    tsPreCompilationDeps: true,
    enhancedResolveOptions: { conditionNames: ['src', 'node', 'require', 'default'], exportsFields: ['exports'], extensions: ['.ts', '.tsx', '.js', '.json'] },
    exclude: { path: '(^dist/|generated/)' },
  },
};
