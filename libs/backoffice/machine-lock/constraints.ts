import type { WrongField } from '#contracts/outcome';
import type { PerformOptions } from '../perform';
import { fieldFailure, taken } from '../refusal';

export const lostCut: WrongField = { path: ['keyCodeId'], code: 'lost-cut', message: 'A key of this code was lost and its locks were changed: no lock takes it any more. Choose another key code.' };

export const lockConstraints: NonNullable<PerformOptions<unknown>['constraints']> = {
  machine_lock_pkey: taken(['id'], 'a lock with this id'),
  machine_lock_not_of_a_lost_cut: fieldFailure('invalid-command', lostCut),
  machine_lock_one_in_a_place: fieldFailure('invalid-command', { path: ['place'], code: 'place-taken', message: 'There is another lock in that place of the machine at that time.' }),
};
