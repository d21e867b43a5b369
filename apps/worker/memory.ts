import { setFlagsFromString } from 'node:v8';

/**
 * Lets the heap grow by a fifth between collections instead of doubling. A worker has no user waiting for single
 * milliseconds, and shares its machine: closing 2,000 sites took the same time, and 48 MB above idle instead of 147.
 */
export function keepHeapSmall(): void {
  setFlagsFromString('--heap-growing-percent=20');
}
