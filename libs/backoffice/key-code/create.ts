import type { CreateKeyCode, KeyCode } from '#contracts/key-code';
import { done, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { keyCodeConstraints } from './constraints';
import { insertKeyCode } from './key-code.sql';

/** Records a cut of keys, of one class for good. */
export async function createKeyCode(deps: Backoffice, caller: Caller, command: CreateKeyCode): Promise<Outcome<KeyCode>> {
  return perform(deps, caller, 'key-code.create', async ({ tx, now }) => done(await insertKeyCode(tx, { ...command, id: command.id ?? deps.newId(), now })), {
    constraints: keyCodeConstraints,
  });
}
