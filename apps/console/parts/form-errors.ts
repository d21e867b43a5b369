import { troubleOf } from '../api/problem';
import type { FormError } from './error-summary';
import { words } from '../words/words';
import { describe } from './describe-trouble';
import { sayFieldError } from './field-words';

interface Telling {
  /** The part of the body that the form asks for, where that is not all of it: `reports/0`. */
  readonly within?: string | undefined;
  /** Id of the field for each member of the request's body that the form asks for. */
  readonly fields?: Readonly<Record<string, string>>;
  /** How to tell an error about something that is no field of the form, by the place that the api names. */
  readonly elsewhere?: (place: string, message: string) => FormError;
  /** The form's own words for refusals that it expects, by code. */
  readonly expected?: Readonly<Record<string, FormError>>;
}

/** A refused request as lines of the form's error summary, each leading to its field if it has one. */
export function formErrorsOf(error: unknown, { within, fields = {}, expected = {}, elsewhere = tellAsItIs }: Telling = {}): FormError[] {
  const trouble = troubleOf(error);
  if (trouble === null) throw error;
  if (trouble.kind === 'refused') {
    const { code, errors = [] } = trouble.problem;
    const own = expected[code];
    if (own !== undefined) return [own];
    const told = errors.map((each): FormError => {
      const { message, isEnglish } = sayFieldError(each);
      const fieldId = fields[memberOf(each.pointer, within)];
      const tell = (said: string): FormError => (fieldId === undefined ? elsewhere(each.pointer, said) : { fieldId, message: said });
      return isEnglish ? { ...tell(words.form.notTaken), inEnglish: [message.replace(/\.$/, '')] } : tell(message);
    });
    if (told.length > 0) return told;
  }
  const { title, text, inEnglish } = describe(trouble);
  return [{ fieldId: null, message: [title, ...text].join('. '), ...(inEnglish.length === 0 ? {} : { inEnglish }) }];
}

/** The same of something that is to be recorded: without an answer nobody knows whether it was. */
export function recordingErrorsOf(error: unknown, telling: Telling = {}): FormError[] {
  const errors = formErrorsOf(error, telling);
  return troubleOf(error)?.kind === 'refused' ? errors : errors.map((each) => ({ ...each, message: `${each.message.replace(/\.$/, '')}. ${words.form.sendAgain}` }));
}

/** The same where it is one line among others, each about another thing: what it says, and what only the api says of it. */
export function errorInOneLine(error: unknown): Pick<FormError, 'message' | 'inEnglish'> {
  const errors = formErrorsOf(error);
  return { message: [...new Set(errors.map(({ message }) => message))].join(' '), inEnglish: [...new Set(errors.flatMap(({ inEnglish = [] }) => inEnglish))] };
}

function tellAsItIs(_place: string, message: string): FormError {
  return { fieldId: null, message };
}

/** `#/currentPassword` is about the member `currentPassword`; within `reports/0`, `#/reports/0/gross` about `gross`. */
function memberOf(pointer: string, within: string | undefined): string {
  const prefix = within === undefined ? '#/' : `#/${within}/`;
  return pointer.replace(pointer.startsWith(prefix) ? prefix : '#/', '').split('/')[0] ?? '';
}
