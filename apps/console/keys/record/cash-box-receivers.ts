import type { KeyException } from '../../api/shapes';

/** Nobody at a site, and no place there, is given a cash-box key, but under an exception of the owner for the site or the person. The api has the last word. */
export function cashBoxKeyMayGoTo(
  { siteId, personId }: { readonly siteId: string | null; readonly personId: string | null },
  { exceptions, at }: { readonly exceptions: readonly Pick<KeyException, 'siteId' | 'personId' | 'from' | 'until'>[]; readonly at: Date },
): boolean {
  if (siteId === null) return true;
  return exceptions.some((exception) => (exception.siteId === siteId || (personId !== null && exception.personId === personId)) && Date.parse(exception.from) <= at.getTime() && (exception.until === null || Date.parse(exception.until) > at.getTime()));
}
