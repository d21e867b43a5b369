import type { FileError } from './stage.sql';

const ERRORS_KEPT = 1_000;

/** Keeps the first errors and counts all, so that a file of nothing but errors costs no more memory than a good one. */
export class ErrorTally {
  readonly first: FileError[] = [];
  readonly byCode: Record<string, number> = {};
  count = 0;

  add(errors: readonly FileError[]): void {
    for (const error of errors) {
      this.count += 1;
      this.byCode[error.code] = (this.byCode[error.code] ?? 0) + 1;
      if (this.first.length < ERRORS_KEPT) this.first.push(error);
    }
  }
}
