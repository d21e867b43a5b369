import { RequestError, type Trouble } from '../api/problem';
import { emptyDraft, type Stop } from './draft';
import { OtherAccountError, sendWaiting } from './sending';
import type { Holder, KeptDevice, KeptVisit } from './store';

// What the browser would keep; a process without one has no IndexedDB.
const mockKept: { visits: KeptVisit[]; device: KeptDevice | null } = { visits: [], device: null };
jest.mock('./store', () => ({
  visitsOf: async () => [...mockKept.visits],
  deviceOf: async () => mockKept.device,
  keepDevice: async (_holder: Holder, device: KeptDevice) => void (mockKept.device = device),
  replaceDevice: async (_holder: Holder, device: KeptDevice) => void (mockKept.device = device),
  markRevoked: async () => void (mockKept.device = mockKept.device && { ...mockKept.device, isRevoked: true }),
  number: async (_holder: Holder, id: string) => ({ ...mockKept.visits.find((each) => each.id === id), sequence: 1 }),
  removeVisit: async (id: string) => void (mockKept.visits = mockKept.visits.filter((each) => each.id !== id)),
}));

const holder: Holder = { operatorId: 'operator', accountId: 'orla' };
const stop = { roundId: 'round', siteId: 'site', siteName: 'Quay Tavern', machines: [] as Stop['machines'] } as Stop;
const visit = { siteId: 'site', happenedAt: '2026-03-31T14:05:09Z' };
const waiting = (id: string): KeptVisit => ({ ...holder, id, stop, draft: emptyDraft(new Date('2026-03-31T14:05:09Z')), visit, finishedAt: '2026-03-31T15:00:00Z', sequence: null });
const refusal = (status: number, code: string) => new RequestError({ kind: 'refused', problem: { status, code, title: code } } as Trouble);

/** Sends three visits, the second of which meets `trouble` each time, and says what became of them. */
async function send({ trouble, accounts = ['orla'], isRevoked = false }: { readonly trouble?: Error; readonly accounts?: readonly string[]; readonly isRevoked?: boolean }) {
  const did: string[] = [];
  let asked = 0;
  const api: Parameters<typeof sendWaiting>[0]['api'] = {
    renewAccount: async () => {
      const id = accounts[Math.min(asked++, accounts.length - 1)] ?? '';
      return { id, name: `The account ${id}` } as Awaited<ReturnType<typeof api.renewAccount>>;
    },
    registerDevice: async () => {
      did.push('register');
      return { id: 'new', secret: 'secret' } as Awaited<ReturnType<typeof api.registerDevice>>;
    },
    sendVisit: async ({ id }) => {
      did.push(`send ${id}`);
      if (id === 'second' && trouble !== undefined) throw trouble;
      return isRevoked ? { id, outcome: 'quarantined', collectionId: null, deviceRevoked: true } : { id, outcome: 'entered', collectionId: id, deviceRevoked: false };
    },
  };
  const refused: string[] = [];
  const outcomes: string[] = [];
  const error = await sendWaiting({ holder, api, deviceName: 'Phone', onSent: ({ outcome }) => outcomes.push(outcome), onRefused: ({ id }) => refused.push(id) }).then(
    () => null,
    (thrown: unknown) => thrown,
  );
  return { did, refused, ...(isRevoked ? { outcomes } : {}), error, left: mockKept.visits.map(({ id }) => id) };
}

describe('sending what waits', () => {
  beforeAll(() => Object.defineProperty(globalThis, 'navigator', { configurable: true, value: { locks: { request: async (_name: string, run: () => Promise<void>) => run() } } }));
  beforeEach(() => {
    mockKept.visits = ['first', 'second', 'third'].map(waiting);
    mockKept.device = { id: 'device', secret: 'secret', nextSequence: 1 };
  });

  it('sends nothing, and registers nothing, while somebody else is signed in', async () => {
    mockKept.device = null;
    const sent = await send({ accounts: ['bo'] });
    expect(sent).toMatchObject({ did: [], left: ['first', 'second', 'third'] });
    expect(sent.error).toEqual(new OtherAccountError('The account bo'));
  });

  it('tells of a phone that was revoked, and wipes what it sent all the same: the office has it', async () => {
    expect(await send({ isRevoked: true })).toMatchObject({ outcomes: ['revoked', 'revoked', 'revoked'], refused: [], error: null, left: [] });
    // So that the page says it again when it is opened the next time.
    expect(mockKept.device).toMatchObject({ id: 'device', isRevoked: true });
  });

  it('registers no device for somebody who signed in while it was sending', async () => {
    const sent = await send({ trouble: refusal(422, 'invalid-command'), accounts: ['orla', 'bo'] });
    expect(sent).toMatchObject({ did: ['send first', 'send second'], left: ['second', 'third'] });
    expect(sent.error).toBeInstanceOf(OtherAccountError);
  });

  it('registers an unknown device anew, and tries the visit once more', async () => {
    expect(await send({ trouble: refusal(409, 'visit-out-of-order') })).toEqual({
      did: ['send first', 'send second', 'register', 'send second', 'send third'], refused: ['second'], error: null, left: ['second'],
    });
  });

  it.each([[409, 'visit-differs'], [400, 'invalid-request'], [413, 'body-too-large']])('keeps a visit that is refused for good (%i %s), tells of it and sends the later ones', async (status, code) => {
    expect(await send({ trouble: refusal(status, code) })).toEqual({ did: ['send first', 'send second', 'send third'], refused: ['second'], error: null, left: ['second'] });
  });

  it.each([
    ['no connection', new RequestError({ kind: 'unreachable' })],
    ['an answer of something else', new RequestError({ kind: 'unreadable', status: 404 })],
    ['nobody signed in', refusal(401, 'not-signed-in')],
    ['a role that may not', refusal(403, 'not-allowed')],
    ['somebody at the same rows', refusal(409, 'busy')],
    ['too many requests', refusal(429, 'too-many-requests')],
    ['a fault of the office', refusal(500, 'unexpected')],
  ])('stops at %s and keeps the order', async (_what, trouble) => {
    expect(await send({ trouble })).toEqual({ did: ['send first', 'send second'], refused: [], error: trouble, left: ['second', 'third'] });
  });
});
