import { codeOf, troubleOf } from '../api/problem';
import type { OperatorApi } from '../api/operator-api';
import { deviceOf, keepDevice, markRevoked, number, removeVisit, replaceDevice, visitsOf, type Holder, type KeptDevice, type KeptVisit } from './store';

/** How a visit left the phone. */
export interface Sent {
  readonly id: string;
  readonly siteName: string;
  /** `revoked`: kept for the office, as is all that this phone still sends. */
  readonly outcome: 'entered' | 'quarantined' | 'revoked';
}

/** A visit that the office will not take however often it is sent; it stays on the phone. */
export interface Refused {
  readonly id: string;
  /** What the api answered. */
  readonly error: unknown;
}

interface Sending {
  readonly holder: Holder;
  readonly api: Pick<OperatorApi, 'renewAccount' | 'registerDevice' | 'sendVisit'>;
  /** What the office will call the phone. */
  readonly deviceName: string;
  readonly onSent: (sent: Sent) => void;
  readonly onRefused: (refused: Refused) => void;
}

/** Somebody else signed in with this browser meanwhile: what waits here would arrive as theirs. */
export class OtherAccountError extends Error {
  constructor(readonly presentName: string) {
    super('the account that answered is not the one whose visits wait');
  }
}

/** Refusals after which the phone registers again and tries once more: it is not known, or has lost count. */
const UNKNOWN_DEVICE = new Set(['invalid-command', 'visit-out-of-order']);

/** Refusals that pass by themselves, or that would meet every other visit as well. */
const PASSING_CODES = new Set(['busy', 'request-in-flight']);
const PASSING_STATUSES = new Set([401, 403, 429]);

/**
 * Sends what waits, one after the other and in order; whatever has arrived is wiped. A visit that is refused for good is
 * told of and does not hold up the later ones. Throws at anything else that keeps one from arriving, and leaves the rest
 * for the next time: `OtherAccountError` where the browser now belongs to somebody else. Two pages of one browser never
 * send at once.
 */
export async function sendWaiting(sending: Sending): Promise<void> {
  await navigator.locks.request('latchledger-visits', async () => {
    const waiting = (await visitsOf(sending.holder)).filter((visit) => visit.visit !== null);
    if (waiting.length === 0) return;
    await requireHolder(sending);
    for (const visit of waiting) {
      const answer = await sendOrRegister(visit, sending);
      if ('error' in answer) sending.onRefused(answer);
      else {
        await removeVisit(visit.id);
        sending.onSent(answer);
      }
    }
  });
}

/** Throws where the browser now belongs to another account than whose things are asked for. */
export async function requireHolder({ holder, api }: Pick<Sending, 'holder' | 'api'>): Promise<void> {
  const { id, name } = await api.renewAccount();
  if (id !== holder.accountId) throw new OtherAccountError(name);
}

async function sendOrRegister(visit: KeptVisit, sending: Sending): Promise<Sent | Refused> {
  const device = (await deviceOf(sending.holder)) ?? (await register(sending));
  const answer = await sendOrRefuse(visit, device, sending);
  if (!('error' in answer) || !UNKNOWN_DEVICE.has(codeOf(answer.error) ?? '')) return answer;
  return sendOrRefuse(visit, await register(sending), sending);
}

async function sendOrRefuse(visit: KeptVisit, device: KeptDevice, sending: Sending): Promise<Sent | Refused> {
  try {
    return await sendOne(visit, device, sending);
  } catch (error) {
    if (!isForGood(error)) throw error;
    return { id: visit.id, error };
  }
}

async function register(sending: Sending): Promise<KeptDevice> {
  const { holder, api, deviceName } = sending;
  // An unknown device may mean that somebody else signed in between: theirs must not send what waits here.
  await requireHolder(sending);
  const known = await deviceOf(holder);
  const { id, secret } = await api.registerDevice(deviceName, crypto.randomUUID());
  if (secret === null) throw new Error('a new device came without its secret');
  const device = { id, secret, nextSequence: 1 };
  await (known === null ? keepDevice(holder, device) : replaceDevice(holder, device));
  return device;
}

async function sendOne(waiting: KeptVisit, device: KeptDevice, { holder, api }: Sending): Promise<Sent> {
  const numbered = await number(holder, waiting.id);
  if (numbered === null || numbered.visit === null || numbered.sequence === null) throw new Error(`visit ${waiting.id} is gone from this phone`);
  const { outcome, deviceRevoked } = await api.sendVisit({ id: numbered.id, deviceId: device.id, deviceSecret: device.secret, sequence: numbered.sequence, visit: { ...numbered.visit } });
  if (deviceRevoked) await markRevoked(holder);
  return { id: numbered.id, siteName: numbered.stop.siteName, outcome: outcome === 'quarantined' && deviceRevoked ? 'revoked' : outcome };
}

/** Whether trying again later may help without anybody doing anything. */
export function isOffline(error: unknown): boolean {
  return troubleOf(error)?.kind === 'unreachable';
}

/** Whether the same visit would be refused again, and only this visit. */
function isForGood(error: unknown): boolean {
  const trouble = troubleOf(error);
  if (trouble?.kind !== 'refused') return false;
  const { code, status } = trouble.problem;
  return status >= 400 && status < 500 && !PASSING_STATUSES.has(status) && !PASSING_CODES.has(code);
}
