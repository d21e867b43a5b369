import type { PhoneVisit } from '../api/shapes';
import { sayFieldError } from '../parts/field-words';
import { words } from '../words/words';

type Forms = Readonly<Record<string, { readonly title?: string } | undefined>>;

/** Why a visit was kept aside: `own` in the language of the page, `inEnglish` what only the api says on a page in another language. */
export function sayKept({ code, detail, errors }: NonNullable<PhoneVisit['problem']>): { readonly own: readonly string[]; readonly inEnglish: readonly string[] } {
  const title = (words.problems as Forms)[code]?.title;
  const fields = errors.map(sayFieldError);
  const said = [...fields, ...(detail === null ? [] : [{ message: detail, isEnglish: words.language !== 'en' }])];
  const own = said.filter(({ isEnglish }) => !isEnglish).map(({ message }) => message);
  return {
    own: own.length > 0 ? own : [title ?? code],
    inEnglish: said.filter(({ isEnglish }) => isEnglish).map(({ message }) => message.replace(/\.$/, '')),
  };
}
