import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { batchCounts, batchesOf, filesInBatches } from './batches';

const root = join(__dirname, '..', '..');

test('each batch has a file that runs it', () => {
  const expected = Object.entries(batchCounts).flatMap(([folder, count]) => Array.from({ length: count }, (_, index) => `${folder.split('/')[1] ?? ''}-${index + 1}.test.ts`));
  expect(readdirSync(join(root, 'tests', 'batches')).sort()).toEqual(expected.sort());
});

test('each test file of those folders is in one batch or runs by itself', () => {
  const inBatches = filesInBatches();
  expect(new Set(inBatches).size).toBe(inBatches.length);
  const all = Object.keys(batchCounts).flatMap((folder) => readdirSync(join(root, folder)).filter((name) => name.endsWith('.test.ts')).map((name) => `${folder}/${name}`));
  expect(all.filter((file) => !inBatches.includes(file))).toEqual(['tests/api/authorisation-matrix.test.ts']);
  for (const folder of Object.keys(batchCounts)) expect(batchesOf(folder).every((files) => files.length > 0)).toBe(true);
});
