import { bodyField, done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { Failure } from '#contracts/problem';
import { visitSchema, type SendVisit, type VisitSent } from '#contracts/visit';
import { createHash, timingSafeEqual } from 'node:crypto';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { lockDevice, type SendingDevice } from '../device/device.sql';
import { hashSecret } from '../identity/secret';
import { perform, type Unit } from '../perform';
import { tryToEnter } from './enter';
import { insertPhoneVisit, isOtherVersionKept, latestSequence, selectSent } from './visit.sql';

const outOfOrder: Outcome<never> = refusedFields('visit-out-of-order', [{ path: ['sequence'], code: 'not-after-latest', message: 'A later visit of this device came already.' }]);

/**
 * Takes a visit from the phone on which it was entered. One that cannot be entered is kept as it came, for the office to
 * settle: the phone may forget it either way. The same visit again gets the same answer,
 * from whichever phone of the account; another version of it is kept aside, too.
 */
export function sendVisit(deps: Backoffice, caller: Caller, command: SendVisit): Promise<Outcome<VisitSent>> {
  const { id, deviceId, sequence } = command;
  return perform<VisitSent>(deps, caller, 'visit.send', async (unit) => {
    const { tx, now } = unit;
    const device = await lockDevice(tx, deviceId);
    if (device === null || !isSender(device, caller, command)) {
      return refusedFields('invalid-command', [{ path: ['deviceId'], code: 'unknown', message: 'This device is not registered to you. What it holds stays on it: register it again.' }]);
    }
    const deviceRevoked = device.revoked_at !== null;
    const bodyHash = createHash('sha256').update(JSON.stringify(command.visit)).digest();
    const sent = await selectSent(tx, id);
    if (sent !== null) {
      // Not which phone sends it: after a lost answer the same visit may come from one that was registered anew.
      if (sent.account_id !== device.account_id) return refused('visit-differs');
      if (sent.body_hash.equals(bodyHash)) return done({ id, outcome: sent.outcome, collectionId: sent.collection_id, deviceRevoked });
    }
    const latest = await latestSequence(tx, device.id);
    if (sent !== null) return keepOtherVersion(unit, { device, command, bodyHash, sequence: Math.max(sequence, latest + 1), id: deps.newId() });
    // A revoked phone is told so whatever number it sends; what it holds is kept under the next free one, and never entered.
    if (sequence <= latest && !deviceRevoked) return outOfOrder;
    const entered = await enterFrom(device, { unit, caller, command, newId: deps.newId });
    // Somebody else is at the same rows: the phone tries again, and nothing is decided.
    if (!entered.ok && entered.failure.code === 'busy') return entered;
    const collectionId = entered.ok ? entered.value : null;
    await insertPhoneVisit(tx, { id, deviceId, sequence: Math.max(sequence, latest + 1), body: command.visit, bodyHash, collectionId, problem: entered.ok ? null : entered.failure }, now);
    return done({ id, outcome: entered.ok ? 'entered' : 'quarantined', collectionId, deviceRevoked });
  });
}

type OtherVersion = { readonly device: SendingDevice; readonly command: SendVisit; readonly bodyHash: Buffer; readonly sequence: number; readonly id: string };

/** A visit that came before with other figures stays as it came; the second version is kept beside it for the office, under an id of its own. */
async function keepOtherVersion({ tx, now }: Unit, { device, command, bodyHash, sequence, id }: OtherVersion): Promise<Outcome<VisitSent>> {
  if (!(await isOtherVersionKept(tx, { accountId: device.account_id, bodyHash }))) {
    const problem: Failure = { code: 'visit-differs', detail: 'It came already, with other figures, which were taken.' };
    await insertPhoneVisit(tx, { id, deviceId: device.id, sequence, body: command.visit, bodyHash, collectionId: null, problem }, now);
  }
  return done({ id: command.id, outcome: 'quarantined', collectionId: null, deviceRevoked: device.revoked_at !== null });
}

function isSender(device: SendingDevice, caller: Caller, { deviceSecret }: SendVisit): boolean {
  return caller.kind === 'user' && caller.id === device.account_id && timingSafeEqual(hashSecret(deviceSecret), device.secret_hash);
}

async function enterFrom(device: SendingDevice, by: { readonly unit: Unit; readonly caller: Caller; readonly command: SendVisit; readonly newId: () => string }): Promise<Outcome<string>> {
  const { unit, caller, command, newId } = by;
  if (device.revoked_at !== null) return refused('device-revoked', { detail: 'The device was revoked before this visit arrived.' });
  const parsed = visitSchema.safeParse(command.visit);
  if (!parsed.success) return { ok: false, failure: malformed(parsed.error.issues) };
  return tryToEnter(unit.tx, parsed.data, { caller, now: unit.now, newId, collectionId: command.id, collectedBy: device.person_id });
}

function malformed(issues: readonly { readonly path: readonly PropertyKey[]; readonly message: string }[]): Failure {
  return { code: 'invalid-request', errors: issues.map(({ path, message }) => ({ ...bodyField(path), code: 'not-valid', message })) };
}
