/**
 * Whether a scale may be counted on: it shows a known weight to one part in a thousand (common practice, no source).
 * Weights in milligrams, above zero.
 */
export function scaleShowsRight({ referenceMilligrams, shownMilligrams }: { readonly referenceMilligrams: bigint; readonly shownMilligrams: bigint }): boolean {
  const offMilligrams = shownMilligrams > referenceMilligrams ? shownMilligrams - referenceMilligrams : referenceMilligrams - shownMilligrams;
  return offMilligrams * 1_000n <= referenceMilligrams;
}
