/** The tests of the money path that need no database: those of the domain, and the published figures. */
const { globalSetup: _setup, globalTeardown: _teardown, ...shared } = require('../jest.config.js');

module.exports = {
  ...shared,
  rootDir: '..',
  // Stryker lays its own environment around Jest's, and cannot load one that is written in TypeScript.
  testEnvironment: 'node',
  roots: ['<rootDir>/libs/domain', '<rootDir>/tests/published'],
  testPathIgnorePatterns: [
    '/node_modules/',
    '/libs/domain/(evidence|permissions)/',
    // They speak to a database or to outside programs.
    '/tests/published/(evidence|issued-statement|journal-export|keys|signature)\\.test',
  ],
  // The stored settlements notice most changes at once.
  testSequencer: '<rootDir>/.config/mutants-sequencer.cjs',
};
