/**
 * Whether two terms say the same. Signing the same terms again must change nothing, so versions are compared by what
 * they say, not by who signed them when.
 */
import type { Terms } from '#domain/terms/types';

export function sameTerms(left: Terms, right: Terms): boolean {
  return left === right || sameData(left, right);
}

/** Structural equality of plain data: the order of an object's keys does not matter, the order of a list does. */
function sameData(left: unknown, right: unknown): boolean {
  if (left === right) return true;
  if (typeof left !== 'object' || typeof right !== 'object' || left === null || right === null) return false;
  if (Array.isArray(left) !== Array.isArray(right)) return false;
  const leftEntries = Object.entries(left);
  const rightValues = new Map<string, unknown>(Object.entries(right));
  if (leftEntries.length !== rightValues.size) return false;
  return leftEntries.every(([key, value]) => rightValues.has(key) && sameData(value, rightValues.get(key)));
}
