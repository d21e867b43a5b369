/** Repeatable chance: the same seed gives the same demo on every machine. Whole numbers only, so that no platform rounds differently. */
export type Chance = {
  /** Whole number from `from` to `to`, both included. */
  readonly between: (from: number, to: number) => number;
  /** True in `percent` of a hundred cases. */
  readonly percent: (percent: number) => boolean;
  readonly pick: <Entry>(entries: readonly Entry[]) => Entry;
  /** A stream of its own, so that one more site does not change what all the others took in. */
  readonly fork: (label: string) => Chance;
};

export function chanceFrom(seed: string): Chance {
  let state = hash(seed);
  const next = (): number => {
    // Generator "mulberry32" (public domain): 32 bits of state are plenty for a demo.
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return (mixed ^ (mixed >>> 14)) >>> 0;
  };
  const between = (from: number, to: number): number => from + (next() % (to - from + 1));
  return {
    between,
    percent: (percent) => between(1, 100) <= percent,
    pick: (entries) => {
      const entry = entries[between(0, entries.length - 1)];
      if (entry === undefined) throw new Error('Nothing to pick from');
      return entry;
    },
    fork: (label) => chanceFrom(`${seed}/${label}`),
  };
}

/** FNV-1a over UTF-16 code units. */
function hash(text: string): number {
  let value = 0x811c9dc5;
  for (let at = 0; at < text.length; at += 1) value = Math.imul(value ^ text.charCodeAt(at), 0x01000193);
  return value;
}
