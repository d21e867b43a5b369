import { formatInstant } from '#contracts/format';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Device, Devices, RegisterDevice, RegisteredDevice } from '#contracts/visit';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { newSecret } from '../identity/secret';
import { perform } from '../perform';
import { taken } from '../refusal';
import { onlyRow } from '../rows';
import { isDoneAlone } from '../policy/policy';
import { labelRelaxed } from '../policy/policy.sql';
import { insertDevice, markReleased, markRevoked, selectDevices, selectUnreleased, type DeviceRow } from './device.sql';

/**
 * Registers the phone in the caller's hand, for the caller alone. Its secret is in this answer and nowhere else. After a phone
 * of the account was revoked, the office releases it first: whoever holds the revoked one may still be signed in on it.
 */
export function registerDevice(deps: Backoffice, caller: Caller, command: RegisterDevice): Promise<Outcome<RegisteredDevice>> {
  return perform<RegisteredDevice>(
    deps,
    caller,
    'device.register',
    async ({ tx, now }) => {
      if (caller.kind !== 'user') return refused('not-allowed', { detail: 'A device belongs to a person who signed in.' });
      const unreleased = await selectUnreleased(tx, caller.id);
      if (unreleased.length > 0) return refused('device-not-released', { detail: `Revoked: ${unreleased.join(', ')}.` });
      const id = command.id ?? deps.newId();
      const secret = newSecret();
      await insertDevice(tx, { id, name: command.name, accountId: caller.id, personId: caller.personId, secretHash: secret.hash, now });
      return done({ id, name: command.name, secret: secret.text });
    },
    { constraints: { collector_device_pkey: taken(['id'], 'a device with this id') }, withoutSecrets: (device) => ({ ...device, secret: null }) },
  );
}

/** Devices on which visits are entered, the latest first: one's own, or all for who answers for the books. */
export function listDevices(deps: Backoffice, caller: Caller): Promise<Outcome<Devices>> {
  return perform<Devices>(deps, caller, 'device.read', async ({ tx }) => done({ items: (await selectDevices(tx, { id: null, accountId: ownOnly(caller) })).map(toDevice) }));
}

/** Ends a device at once: what it sends from now on is kept aside. Revoking it again changes nothing. */
export function revokeDevice(deps: Backoffice, caller: Caller, command: { readonly id: string; readonly reason: string }): Promise<Outcome<Device>> {
  return perform(deps, caller, 'device.revoke', async ({ tx, now }) => {
    const [found] = await selectDevices(tx, { id: command.id, accountId: null });
    if (found === undefined) return refused('not-found');
    await markRevoked(tx, { ...command, now });
    const [row] = await selectDevices(tx, { id: command.id, accountId: null });
    if (row === undefined) throw new Error(`device ${command.id} is gone`);
    return done(toDevice(row));
  });
}

/** Says that the account of a revoked phone is with its owner again, and may register another. Not of one's own account, but in a business of one. */
export function releaseDevice(deps: Backoffice, caller: Caller, command: { readonly id: string; readonly reason: string }): Promise<Outcome<Device>> {
  return perform(deps, caller, 'device.release', async ({ tx, now }) => {
    const [found] = await selectDevices(tx, { id: command.id, accountId: null });
    if (found === undefined) return refused('not-found');
    if (found.revoked_at === null) return refused('wrong-state', { detail: 'The phone was not revoked: there is nothing to release.' });
    const alone = await isDoneAlone(tx, { recordedBy: [`user:${found.account_id}`], now, detail: 'It is your own account: somebody else releases it.' });
    if (!alone.ok) return alone;
    const fresh = await markReleased(tx, { ...command, now });
    if (fresh && alone.value) await labelRelaxed(tx, { recordId: command.id, rule: 'second-person', kind: 'device-release', now });
    return done(toDevice(onlyRow(await selectDevices(tx, { id: command.id, accountId: null }))));
  });
}

function ownOnly(caller: Caller): string | null {
  return caller.kind === 'user' && caller.role === 'collector' ? caller.id : null;
}

function toDevice(row: DeviceRow): Device {
  return {
    id: row.id,
    name: row.name,
    accountId: row.account_id,
    personId: row.person_id,
    personName: row.person_name,
    registeredAt: formatInstant(row.registered_at),
    revokedAt: row.revoked_at && formatInstant(row.revoked_at),
    revokedBy: row.revoked_by,
    revokedBecause: row.revoked_because,
    releasedAt: row.released_at && formatInstant(row.released_at),
    releasedBy: row.released_by,
    releasedBecause: row.released_because,
    visits: row.visits,
    lastVisitAt: row.last_visit_at && formatInstant(row.last_visit_at),
  };
}
