import { scaleShowsRight } from '#domain/counting/scale';
import { readTypedGrams } from '../format/typed-amount';
import { milligramsOf } from './box-draft';

/** The check of a scale, as it is typed. */
export interface ScaleDraft {
  /** Made anew with each change, so that one check keeps one id over several visits. */
  readonly id: string;
  readonly scale: string;
  readonly reference: string;
  readonly shown: string;
  /** When it was typed, RFC 3339. */
  readonly checkedAt: string;
}

export interface ScaleCheck {
  readonly id: string;
  readonly scale: string;
  readonly referenceGrams: string;
  readonly shownGrams: string;
  readonly happenedAt: string;
}

export type ScaleError = { readonly field: 'scale-name' | 'scale-reference' | 'scale-shown'; readonly reason: 'scale-missing' | 'grams' | 'scale-wrong' };

/** What was counted of one box, as far as it tells whether something was weighed. */
type Counted = { readonly tally?: readonly { readonly grams?: string }[] };

/** The check that goes with counts: asked for as soon as one of them was weighed, and null where none was. */
export function scaleCheckFor(counts: readonly Counted[], { scale, locale }: { readonly scale: ScaleDraft | null; readonly locale: string }): { readonly check: ScaleCheck | null } | { readonly errors: readonly ScaleError[] } {
  if (!counts.some(({ tally }) => tally?.some(({ grams }) => grams !== undefined) === true)) return { check: null };
  return scale === null ? { errors: [{ field: 'scale-name', reason: 'scale-missing' }] } : checkOfScale(scale, locale);
}

/** The check before coins are weighed, or what is wrong with it. */
export function checkOfScale({ id, scale, reference, shown, checkedAt }: ScaleDraft, locale: string): { readonly check: ScaleCheck } | { readonly errors: readonly ScaleError[] } {
  const [referenceGrams, shownGrams] = [readTypedGrams({ text: reference, locale }), readTypedGrams({ text: shown, locale })];
  const errors: ScaleError[] = [
    ...(scale.trim() === '' ? [{ field: 'scale-name', reason: 'scale-missing' } as const] : []),
    ...(referenceGrams === null || !/[1-9]/.test(referenceGrams) ? [{ field: 'scale-reference', reason: 'grams' } as const] : []),
    ...(shownGrams === null ? [{ field: 'scale-shown', reason: 'grams' } as const] : []),
  ];
  if (errors.length > 0 || referenceGrams === null || shownGrams === null) return { errors };
  if (!scaleShowsRight({ referenceMilligrams: milligramsOf(referenceGrams), shownMilligrams: milligramsOf(shownGrams) })) return { errors: [{ field: 'scale-shown', reason: 'scale-wrong' }] };
  return { check: { id, scale: scale.trim(), referenceGrams, shownGrams, happenedAt: checkedAt } };
}
