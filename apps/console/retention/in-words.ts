import type { Retention, RetentionPreview, RetentionRule } from '../api/shapes';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { words } from '../words/words';

const text = words.retention;

export function keepInWords({ keep, unit, law, decided }: RetentionRule): string {
  if (keep === null) return law !== null && decided === null ? text.undecided : text.always;
  return unit === 'days' ? text.days(keep) : text.years(keep);
}

export function whyInWords({ law, source, least, isYearAdded }: RetentionRule, { country }: Retention): string {
  if (law === null) return text.practice;
  const why = source === null ? text.lawUnknown({ law: text.law[law], least, country }) : text.bySource({ law: text.law[law], least, source });
  return isYearAdded ? `${why} ${text.yearAdded}` : why;
}

/** Nothing while the answer is on its way. */
export function goesInWords(preview: RetentionPreview | undefined, kind: RetentionRule['kind']): string {
  if (preview === undefined) return '';
  if (preview.isHeld) return text.held;
  const item = preview.items.find((each) => each.kind === kind);
  return item === undefined || item.oldest === null ? text.nothing : text.goes({ records: item.records, oldest: formatInstant(item.oldest, locale) });
}
