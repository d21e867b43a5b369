/** The only source of the present moment; whoever needs it is given one, so that tests decide what time it is. */
export type Clock = { readonly now: () => Date };

export const systemClock: Clock = { now: () => new Date() };

/** A clock for tests and for the deterministic demo: it stands still until it is told to go on. */
export type FixedClock = Clock & {
  readonly advance: (step: { readonly milliseconds: number }) => void;
  readonly set: (instant: Date) => void;
};

/** `instant`: RFC 3339 text with offset, or a Date. */
export function fixedClock(instant: string | Date): FixedClock {
  let current = instantFrom(instant);
  return {
    // A copy each time: a Date can be changed by whoever holds it.
    now: () => new Date(current),
    advance: ({ milliseconds }) => {
      current += milliseconds;
    },
    set: (next) => {
      current = instantFrom(next);
    },
  };
}

function instantFrom(instant: string | Date): number {
  const milliseconds = new Date(instant).getTime();
  if (Number.isNaN(milliseconds)) throw new Error(`not an instant: ${String(instant)}`);
  return milliseconds;
}
