// Mutation tests of the money path: `npm run mutants` changes the code of one room after the other in thousands of small
// ways and counts how many of them no test notices. ROOM=tax runs one room; what has not changed since the last run is
// taken from reports/.
const rooms = (process.env.ROOM ?? 'money,tax,terms,settlement').split(',');

export default {
  mutate: rooms.flatMap((room) => [`libs/domain/${room}/**/*.ts`, `!libs/domain/${room}/**/*.test.ts`]),
  plugins: ['@stryker-mutator/jest-runner'],
  testRunner: 'jest',
  jest: {
    configFile: '.config/mutants.jest.cjs',
    // Jest follows "#domain/..." to dist here, where nothing is changed; the coverage of each test says better which tests to run.
    enableFindRelatedTests: false,
  },
  coverageAnalysis: 'perTest',
  // What runs once when a file is loaded (tables of codes, texts) would need the whole suite for each of its changes.
  ignoreStatic: true,
  ignorePatterns: ['/dist', '/data', '/apps', '/prisma', '/coverage', '/reports'],
  concurrency: 1,
  timeoutMS: 40_000,
  incremental: true,
  incrementalFile: `reports/mutants/${rooms.join('-')}.json`,
  reporters: ['progress-append-only', 'clear-text', 'json', 'html'],
  clearTextReporter: { logTests: false, reportTests: false, allowColor: false },
  jsonReporter: { fileName: `reports/mutants/${rooms.join('-')}-report.json` },
  htmlReporter: { fileName: `reports/mutants/${rooms.join('-')}.html` },
  thresholds: { high: 95, low: 85, break: 85 },
};
