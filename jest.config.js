const { filesInBatches } = require('./tests/support/batches');

/** A run that names no files, or batches, takes those of some folders in batches; one that names some takes each by itself. */
const isWhole = !process.argv.slice(2).some((word) => !word.startsWith('-') && !word.includes('tests/batches'));
const otherwise = isWhole ? filesInBatches().map((file) => `<rootDir>/${file}$`) : ['<rootDir>/tests/batches/'];

/** One configuration for every tier; `npm test` leaves out the slow folders, their own scripts name them. */
module.exports = {
  roots: ['<rootDir>/apps', '<rootDir>/libs', '<rootDir>/tests'],
  testMatch: ['**/*.test.ts', '**/*.test.tsx'],
  testPathIgnorePatterns: ['/node_modules/', ...otherwise, ...(process.env.SLOW_TIER ? [] : ['/tests/faults/', '/tests/soak/', '/tests/bench/'])],
  testEnvironment: '<rootDir>/tests/support/test-environment.ts',
  // `src` makes package.json "imports" resolve to the TypeScript sources instead of dist.
  testEnvironmentOptions: { customExportConditions: ['src', 'node', 'node-addons'] },
  runtime: '<rootDir>/tests/support/test-runtime.js',
  transform: {
    '^.+\\.tsx?$': [
      '@swc/jest',
      {
        jsc: {
          parser: { syntax: 'typescript', tsx: false, decorators: true },
          transform: { legacyDecorator: true, decoratorMetadata: true },
          target: 'es2022',
          keepClassNames: true,
        },
        module: { type: 'commonjs' },
      },
    ],
  },
  // One PostgreSQL server per run, started when the first test asks for a database.
  globalSetup: '<rootDir>/tests/support/global-setup.ts',
  globalTeardown: '<rootDir>/tests/support/global-teardown.ts',
  testSequencer: '<rootDir>/tests/support/long-files-first.js',
  // One more than the cores of a small machine: a test waits for the database, the browser or a process for a third of its time.
  maxWorkers: 3,
  // Clearing away between files (see the test environment) keeps a worker below half of it: one that is above would go on growing.
  workerIdleMemoryLimit: '1500MB',
  // For a test that hangs, not for one that a busy machine makes slow.
  testTimeout: 120_000,
};
