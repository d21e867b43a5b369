// Loaded by Jest before the tests, as it is: plain JavaScript.
const { default: Sequencer } = require('@jest/test-sequencer');
const { relative, sep } = require('node:path');

/**
 * Files that take longest, in seconds on two cores. Jest begins with the files that took longest the last time; a fresh checkout knows of no
 * last time and goes by the size of the files, so that the longest of all began when a third of the others were done.
 */
const longFiles = {
  'tests/api/authorisation-matrix.test.ts': 126,
  'tests/browser/month-end.test.ts': 69,
  'tests/browser/states.test.ts': 59,
  'tests/browser/set-up.test.ts': 47,
  'tests/api/imports.test.ts': 40,
  'apps/command/installation.test.ts': 40,
  'tests/migrations/every-migration-keeps-the-data-before-it.test.ts': 37,
  'apps/command/verify-log-keys.test.ts': 37,
  'tests/api/reversals.test.ts': 37,
  'tests/browser/keys-daily.test.ts': 35,
  'tests/browser/site-account.test.ts': 34,
  'tests/properties/second-reading.test.ts': 34,
  'tests/browser/collector.test.ts': 34,
  'tests/properties/lost-keys.test.ts': 33,
  'tests/browser/keys.test.ts': 33,
  'tests/browser/variances.test.ts': 30,
  'tests/published/statement-pages.test.ts': 30,
  'tests/browser/session.test.ts': 28,
  'tests/browser/verifier.test.ts': 28,
  'tests/browser/key-set-up.test.ts': 28,
  'tests/browser/keyboard.test.ts': 28,
  'tests/api/payments.test.ts': 27,
  'tests/browser/access.test.ts': 27,
  'tests/api/late-counts.test.ts': 27,
  'tests/api/blind-counting.test.ts': 26,
  'tests/api/untold-boxes.test.ts': 26,
  'apps/command/restore.test.ts': 26,
  'libs/runtime/embedded-postgres.test.ts': 26,
  'tests/api/closes.test.ts': 26,
  'apps/command/demo/seed.test.ts': 25,
  'tests/browser/webhooks.test.ts': 25,
  'tests/api/payment-runs.test.ts': 25,
  'tests/api/site-accounts.test.ts': 25,
  'tests/browser/payments.test.ts': 23,
  'tests/browser/statements.test.ts': 23,
  'tests/api/tax-returns.test.ts': 22,
  'tests/browser/changed-meanwhile.test.ts': 21,
  'tests/browser/tax.test.ts': 21,
  'tests/browser/advances.test.ts': 21,
  'tests/api/corrections.test.ts': 20,
};

/** What the batches of other files take, one with another. */
const BATCH_SECONDS = 100;

/** Begins with the long files, so that no worker is left with one of them when the others have nothing more to do. */
class LongFilesFirst extends Sequencer {
  sort(tests) {
    const seconds = (test) => {
      const file = relative(test.context.config.rootDir, test.path).split(sep).join('/');
      return longFiles[file] ?? (file.startsWith('tests/batches/') ? BATCH_SECONDS : 0);
    };
    return super.sort(tests).sort((one, other) => seconds(other) - seconds(one));
  }
}

module.exports = Object.assign(LongFilesFirst, { longFiles });
