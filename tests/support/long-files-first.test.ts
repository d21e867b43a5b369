import { existsSync } from 'node:fs';
import { join } from 'node:path';
import LongFilesFirst from './long-files-first';

const root = join(__dirname, '..', '..');

test('the files that begin a run are there', () => {
  expect(Object.keys(LongFilesFirst.longFiles).filter((file) => !existsSync(join(root, file)))).toEqual([]);
});

test('the long files begin, the longest first, and the others follow as Jest has them', () => {
  const context = { config: { rootDir: root, cache: false }, hasteFS: { getSize: (path: string) => path.length } };
  const order = ['libs/short.test.ts', 'tests/browser/states.test.ts', 'libs/a-longer-one.test.ts', 'tests/api/authorisation-matrix.test.ts'].map((file) => ({ path: join(root, file), context }));
  const sorted = new LongFilesFirst({}).sort(order).map(({ path }) => path.slice(root.length + 1));
  expect(sorted).toEqual(['tests/api/authorisation-matrix.test.ts', 'tests/browser/states.test.ts', 'libs/a-longer-one.test.ts', 'libs/short.test.ts']);
});
