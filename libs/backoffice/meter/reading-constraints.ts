import type { PerformOptions } from '../perform';
import { fieldFailure, unknownReference } from '../refusal';

/** What only the database can refuse of readings; `path` leads to them in the request. */
export function readingConstraints(path: readonly string[]): NonNullable<PerformOptions<unknown>['constraints']> {
  return {
    meter_reading_pkey: fieldFailure('already-exists', { path, code: 'taken', message: 'One of these ids belongs to another reading.' }),
    meter_reading_once: fieldFailure('already-exists', { path, code: 'read-twice', message: 'There is a reading of one of these meters at this moment already: a wrong one is corrected.' }),
    meter_reading_person: unknownReference(['readBy'], 'person'),
  };
}
