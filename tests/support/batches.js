// Loaded by Jest before the tests, and by tests: plain JavaScript.
const { readdirSync } = require('node:fs');
const { join } = require('node:path');
const { longFiles } = require('./long-files-first');

const root = join(__dirname, '..', '..');

/** Of a file that is not among the long ones. */
const SHORT_FILE_SECONDS = 8;

/** How many batches the test files of a folder are shared out among in a whole run. The files are in tests/batches. */
const batchCounts = { 'tests/api': 6, 'tests/browser': 4 };

/** Files that are a batch by themselves: long enough that sharing would only make the run end late. */
const ownBatch = new Set(['tests/api/authorisation-matrix.test.ts']);

/** The files of each batch of a folder, so that each batch takes about as long. */
function batchesOf(folder) {
  const files = readdirSync(join(root, folder))
    .map((name) => `${folder}/${name}`)
    .filter((file) => file.endsWith('.test.ts') && !ownBatch.has(file))
    .map((file) => ({ file, seconds: longFiles[file] ?? SHORT_FILE_SECONDS }))
    .sort((one, other) => other.seconds - one.seconds || (one.file < other.file ? -1 : 1));
  const batches = Array.from({ length: batchCounts[folder] }, () => ({ files: [], seconds: 0 }));
  for (const { file, seconds } of files) {
    const shortest = batches.reduce((least, batch) => (batch.seconds < least.seconds ? batch : least));
    shortest.files.push(file);
    shortest.seconds += seconds;
  }
  return batches.map(({ files: together }) => together.sort());
}

/** Every file that a whole run takes by way of a batch. */
const filesInBatches = () => Object.keys(batchCounts).flatMap((folder) => batchesOf(folder).flat());

module.exports = { batchCounts, batchesOf, filesInBatches };
