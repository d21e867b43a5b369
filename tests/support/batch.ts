import { basename, join } from 'node:path';
import { batchesOf } from './batches';

const root = join(__dirname, '..', '..');

let together: readonly string[] | undefined;

/** The test files that run as one: those of the batch, or the one that Jest was asked for. */
export const filesUnderTest = (): readonly string[] => together ?? [expect.getState().testPath ?? ''];

/**
 * Runs several test files one after the other as one file, so that what they have in common is loaded once and is warm for all but the
 * first of them. Hooks of a file hold for its own tests. Each of them also runs alone, when it is named.
 */
export function runBatch({ folder, number }: { readonly folder: string; readonly number: number }): void {
  together = (batchesOf(folder)[number - 1] ?? []).map((file) => join(root, file));
  for (const file of together) {
    describe(basename(file, '.test.ts'), () => {
      jest.requireActual<object>(file);
    });
  }
}
