import fc from 'fast-check';
import { custodyKinds, type Holder } from './custody';
import { isAcknowledged, sidesOfKind, wrongSides } from './event-sides';

const safe: Holder = { kind: 'store', id: 'safe' };
const orla: Holder = { kind: 'person', id: 'orla' };
const hook: Holder = { kind: 'place', id: 'hook' };

describe('giver and receiver', () => {
  // K.A.R. 112-104-37: date, issuer, receiver, times out and in, returner, acceptor.
  it.each([
    ['issued', safe, orla],
    ['issued', safe, hook],
    ['returned', orla, safe],
    ['handed-over', orla, hook],
    ['handed-over', safe, safe],
    ['made', null, safe],
    ['found', null, orla],
    ['seen', null, safe],
    ['destroyed', null, null],
  ] as const)('%s', (says, from, to) => {
    expect(wrongSides({ says, from, to })).toEqual([]);
  });

  it.each([
    ['issued', null, orla, 'from missing'],
    ['issued', orla, hook, 'from not-a-store'],
    ['issued', safe, safe, 'to not-a-person-or-place'],
    ['returned', safe, safe, 'from not-a-person-or-place'],
    ['returned', orla, hook, 'to not-a-store'],
    ['handed-over', orla, safe, 'to another-kind'],
    ['handed-over', safe, orla, 'to another-kind'],
    ['found', orla, orla, 'from not-of-this-kind'],
    ['reported-missing', null, orla, 'to not-of-this-kind'],
    ['made', null, orla, 'to not-a-store'],
  ] as const)('%s from %j to %j is refused', (says, from, to, expected) => {
    expect(wrongSides({ says, from, to }).map(({ side, code }) => `${side} ${code}`)).toEqual([expected]);
  });

  it('both confirm exactly those kinds that have both', () => {
    fc.assert(
      fc.property(fc.constantFrom(...custodyKinds), (says) => {
        const { from, to } = sidesOfKind[says];
        expect(isAcknowledged(says)).toBe(from !== 'none' && to !== 'none');
      }),
    );
    expect(isAcknowledged(null)).toBe(false);
  });
});
