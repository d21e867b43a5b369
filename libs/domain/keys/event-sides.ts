import type { CustodyKind, Holder } from './custody';

/** Who gives and who receives in an event of each kind; `none`: the kind has no such side. */
type Side = 'none' | 'store' | 'person-or-place' | 'anybody';
export type Sides = { readonly from: Side; readonly to: Side };

/** K.A.R. 112-104-37: a register of keys names issuer, receiver, returner and acceptor. A kind has the sides that its name means. */
export const sidesOfKind: { readonly [kind in CustodyKind]: Sides } = {
  made: { from: 'none', to: 'store' },
  duplicated: { from: 'none', to: 'store' },
  issued: { from: 'store', to: 'person-or-place' },
  returned: { from: 'person-or-place', to: 'store' },
  'handed-over': { from: 'anybody', to: 'anybody' },
  'reported-missing': { from: 'none', to: 'none' },
  found: { from: 'none', to: 'anybody' },
  destroyed: { from: 'none', to: 'none' },
  seen: { from: 'none', to: 'anybody' },
};

/** One side of an event that its kind does not have, or lacks. */
export type WrongSide = { readonly side: 'from' | 'to'; readonly code: 'not-of-this-kind' | 'missing' | 'not-a-store' | 'not-a-person-or-place' | 'another-kind' };

/** What is wrong with the sides of an event; empty when they are what its kind means. */
export function wrongSides(event: { readonly says: CustodyKind; readonly from: Holder | null; readonly to: Holder | null }): WrongSide[] {
  const sides = sidesOfKind[event.says];
  const wrong = (['from', 'to'] as const).flatMap((side): WrongSide[] => {
    const code = wrongSide(sides[side], event[side]);
    return code === null ? [] : [{ side, code }];
  });
  if (wrong.length > 0 || event.says !== 'handed-over') return wrong;
  // From a store to somebody is an issue, the way back a return: each has its own rules.
  return (event.from?.kind === 'store') === (event.to?.kind === 'store') ? [] : [{ side: 'to', code: 'another-kind' }];
}

/** Kinds by which somebody gives and somebody else receives, so that both confirm it. */
export function isAcknowledged(says: CustodyKind | null): boolean {
  return says === 'issued' || says === 'returned' || says === 'handed-over';
}

function wrongSide(needed: Side, holder: Holder | null): WrongSide['code'] | null {
  if (needed === 'none') return holder === null ? null : 'not-of-this-kind';
  if (holder === null) return 'missing';
  if (needed === 'store') return holder.kind === 'store' ? null : 'not-a-store';
  return needed === 'person-or-place' && holder.kind === 'store' ? 'not-a-person-or-place' : null;
}
