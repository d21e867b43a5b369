import type { ChangeKeyRing, KeyRing } from '#contracts/key-ring';
import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { fieldFailure } from '../refusal';
import { lockRing, putOn, selectRing, selectWhereCopiesHang, takeOff } from './key-ring.sql';

const constraints = { key_ring_copy_on_one_ring: fieldFailure('invalid-command', { path: ['putOn'], code: 'on-a-ring', message: 'One of the copies was put on a ring meanwhile.' }) };

/** Puts copies on a ring and takes copies off it. */
export async function changeKeyRing(deps: Backoffice, caller: Caller, command: { readonly id: string } & ChangeKeyRing): Promise<Outcome<KeyRing>> {
  const { id, takeOff: off, putOn: on } = command;
  return perform(
    deps,
    caller,
    'key-ring.change',
    async ({ tx, now }) => {
      if (!(await lockRing(tx, id))) return refused('not-found');
      const wrong: WrongField[] = [];
      for (const [index, copy] of (await selectWhereCopiesHang(tx, off)).entries()) {
        if (copy.ring_id !== id) wrong.push({ path: ['takeOff', index], code: 'not-on-the-ring', message: copy.number === null ? 'There is no copy with this id.' : `Copy ${copy.number} does not hang on this ring.` });
      }
      for (const [index, copy] of (await selectWhereCopiesHang(tx, on)).entries()) {
        const path = ['putOn', index];
        if (copy.number === null) wrong.push({ path, code: 'unknown', message: 'There is no copy with this id.' });
        else if (copy.ring_id !== null) wrong.push({ path, code: 'on-a-ring', message: `Copy ${copy.number} hangs on ring ${copy.ring_code ?? ''} already.` });
        else if (on.indexOf(on[index] ?? '') !== index) wrong.push({ path, code: 'twice', message: `Copy ${copy.number} is named twice.` });
      }
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      await takeOff(tx, { ringId: id, ids: off, now });
      await putOn(tx, { ringId: id, copies: on.map((copyId) => ({ id: deps.newId(), copyId })), now });
      const ring = await selectRing(tx, id);
      if (ring === null) throw new Error(`ring ${id} is gone`);
      return done(ring);
    },
    { constraints },
  );
}
