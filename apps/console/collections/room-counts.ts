import type { CountsBody } from '../api/collections-api';
import type { FormError } from '../parts/error-summary';
import { countOfBox, leftInBox, type BoxDraft, type BoxPlace } from '../phone/box-draft';
import { scaleCheckFor, type ScaleDraft } from '../phone/scale-draft';
import { words } from '../words/words';

export interface BoxToCount {
  readonly machineId: string;
  readonly tag: string;
  readonly box: BoxDraft;
  /** It left on the day of the visit: this was its last box here. */
  readonly leaves?: boolean;
}

/** What was counted, as the api takes it, with everything that is wrong with it. A box about which nothing was said is left out. */
export function toCounts(boxes: readonly BoxToCount[], place: BoxPlace & { readonly scale: ScaleDraft | null }): { readonly body: CountsBody; readonly errors: readonly FormError[] } {
  const found = boxes.map((each) => countOf(each, place));
  const counts = found.flatMap(({ count }) => count ?? []);
  const scale = scaleCheckFor(counts, place);
  const unchecked = 'errors' in scale ? scale.errors.map(({ field, reason }): FormError => ({ fieldId: field, message: words.phone.errors[reason] })) : [];
  const nothing = counts.length === 0 ? [{ fieldId: boxes[0] === undefined ? null : `${boxes[0].machineId}-coin`, message: words.countingRoom.nothing }] : [];
  const errors = [...unchecked, ...found.flatMap((each) => each.errors)];
  return { body: { counts, scaleCheck: 'check' in scale ? scale.check : null }, errors: errors.length > 0 ? errors : nothing };
}

function countOf({ machineId, tag, box, leaves = false }: BoxToCount, place: BoxPlace): { readonly count: CountsBody['counts'][number] | null; readonly errors: readonly FormError[] } {
  const told = (field: string, message: string): FormError => ({ fieldId: `${machineId}-${field}`, message: words.phone.of(tag, message) });
  const { value, errors } = countOfBox(box, place);
  const left = leftInBox(box, place).map(({ field, reason, lost }) => told(field, words.phone.left[reason](lost.join(', '))));
  return {
    count: value === null ? null : { machineTag: tag, ...value, ...(leaves ? { removal: true } : {}) },
    errors: [...left, ...errors.map(({ field, reason }) => told(field, words.phone.errors[reason]))],
  };
}
