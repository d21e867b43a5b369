import { formatPeriodAlone } from './day';
import { locale } from './locale';

/** Such as October 2026, as it begins a line. */
export function monthInWords(month: string): string {
  const startsOn = `${month}-01`;
  const next = new Date(`${startsOn}T00:00:00Z`);
  next.setUTCMonth(next.getUTCMonth() + 1);
  return formatPeriodAlone({ startsOn, endsBefore: next.toISOString().slice(0, 10) }, locale);
}
