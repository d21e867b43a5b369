// Loaded by Jest before the tests, as it is: plain JavaScript.
const { default: Sequencer } = require('@jest/test-sequencer');
const { relative, sep } = require('node:path');

/**
 * Files that take longest, in seconds on two cores. Jest begins with the files that took longest the last time; a fresh checkout knows of no
 * last time and goes by the size of the files, so that the longest of all began when a third of the others were done.
 */
const longFiles = {
  'tests/api/authorisation-matrix.test.ts': 117,
  'tests/browser/states.test.ts': 60,
  'tests/browser/month-end.test.ts': 59,
  'tests/migrations/every-migration-keeps-the-data-before-it.test.ts': 50,
  'apps/command/verify-log-keys.test.ts': 37,
  'tests/api/imports.test.ts': 35,
  'apps/command/installation.test.ts': 33,
  'tests/browser/verifier.test.ts': 33,
  'tests/browser/session.test.ts': 33,
  'tests/browser/variances.test.ts': 32,
  'apps/command/demo/seed.test.ts': 32,
  'tests/api/payments.test.ts': 31,
  'tests/properties/settlement-figures.test.ts': 31,
  'tests/browser/site-account.test.ts': 30,
  'tests/browser/keys-daily.test.ts': 30,
  'tests/browser/set-up.test.ts': 29,
  'tests/properties/second-reading.test.ts': 28,
  'tests/api/reversals.test.ts': 28,
  'tests/properties/lost-keys.test.ts': 27,
  'tests/api/blind-counting.test.ts': 26,
  'tests/api/corrections.test.ts': 26,
  'libs/runtime/embedded-postgres.test.ts': 25,
  'tests/api/settlements.test.ts': 25,
  'apps/command/compose.test.ts': 24,
  'apps/command/restore.test.ts': 24,
  'apps/command/start.test.ts': 24,
  'tests/browser/key-set-up.test.ts': 23,
  'tests/browser/keys.test.ts': 22,
  'tests/published/statement-pages.test.ts': 22,
  'tests/browser/collector.test.ts': 22,
  'tests/browser/webhooks.test.ts': 21,
  'tests/browser/long-list.test.ts': 20,
  'tests/browser/access.test.ts': 20,
};

/** Begins with the long files, so that no worker is left with one of them when the others have nothing more to do. */
class LongFilesFirst extends Sequencer {
  sort(tests) {
    const seconds = (test) => longFiles[relative(test.context.config.rootDir, test.path).split(sep).join('/')] ?? 0;
    return super.sort(tests).sort((one, other) => seconds(other) - seconds(one));
  }
}

module.exports = Object.assign(LongFilesFirst, { longFiles });
