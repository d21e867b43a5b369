/** Codes are in capitals and without gaps; nobody should have to type them so. */
export const asCode = (typed: string): string => typed.trim().toUpperCase().replace(/\s+/g, '-');

/** Whether a code as it was typed can be one. */
export function isCode({ typed, longest = 20 }: { readonly typed: string; readonly longest?: number }): boolean {
  const code = asCode(typed);
  return /^[A-Z0-9][A-Z0-9-]*$/.test(code) && code.length <= longest;
}

/** A sort of machine as the books have it, out of what people type: `Pool table` gives `pool-table`. */
export const asKind = (typed: string): string => typed.trim().toLowerCase().normalize('NFD').replace(/\p{M}/gu, '').replace(/[^a-z0-9]+/g, '-').replace(/^-+|-+$/g, '');

export const isKind = (typed: string): boolean => /^[a-z][a-z0-9-]{1,29}$/.test(asKind(typed));
