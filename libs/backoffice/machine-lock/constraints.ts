import type { PerformOptions } from '../perform';
import { fieldFailure, taken } from '../refusal';

export const lockConstraints: NonNullable<PerformOptions<unknown>['constraints']> = {
  machine_lock_pkey: taken(['id'], 'a lock with this id'),
  machine_lock_one_in_a_place: fieldFailure('invalid-command', { path: ['place'], code: 'place-taken', message: 'There is another lock in that place of the machine at that time.' }),
};
