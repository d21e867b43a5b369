import type { ReadyTaxArea } from '../ready-area';
import { europe } from './europe';
import { northAmerica } from './north-america';

/** Every ready area, by country and name. */
export const readyTaxAreas: readonly ReadyTaxArea[] = [...northAmerica, ...europe].sort((first, second) => (keyOf(first) < keyOf(second) ? -1 : 1));

function keyOf({ country, name }: ReadyTaxArea): string {
  return `${country} ${name}`;
}
