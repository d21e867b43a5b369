import { basename, join } from 'node:path';
import { batchesOf } from './batches';

const root = join(__dirname, '..', '..');

/**
 * Runs several test files one after the other as one file, so that what they have in common is loaded once and is warm for all but the
 * first of them. Hooks of a file hold for its own tests. Each of them also runs alone, when it is named.
 */
export function runBatch({ folder, number }: { readonly folder: string; readonly number: number }): void {
  for (const file of batchesOf(folder)[number - 1] ?? []) {
    describe(basename(file, '.test.ts'), () => {
      jest.requireActual<object>(join(root, file));
    });
  }
}
