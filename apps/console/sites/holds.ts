interface Known {
  readonly versions: readonly { readonly effectiveFrom: string }[];
  /** From when the agreement holds no more; null while it has no end. */
  readonly endedOn: string | null;
  readonly today: string;
}

/** Whether terms are still to come, hold today, or ended or were followed by others. Terms that the end came before never hold. */
export function holdsOf(effectiveFrom: string, { versions, endedOn, today }: Known): 'later' | 'now' | 'before' {
  if (endedOn !== null && (endedOn <= today || effectiveFrom >= endedOn)) return 'before';
  if (effectiveFrom > today) return 'later';
  return versions.some((other) => other.effectiveFrom > effectiveFrom && other.effectiveFrom <= today) ? 'before' : 'now';
}
