import type { Failure } from '#contracts/problem';

/** Why nobody's data is erased while a hold stands. */
export const held = { code: 'must-be-kept', detail: 'A hold stands: nobody’s data is erased until it is lifted.' } as const satisfies Failure;

/** The same as the database says it at the end of a transaction, where a hold was placed meanwhile. */
export const refusedWhileHeld: { readonly [constraint: string]: Failure } = { retention_hold_stands: held };
