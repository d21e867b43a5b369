import { problems } from '#contracts/problem';
import { RequestError } from '../api/problem';
import { fetchFirstWords, words } from '../words/words';
import { errorInOneLine, formErrorsOf } from './form-errors';

const german = { taken: 'Das gibt es schon.' };

beforeEach(fetchFirstWords);
afterEach(() => Object.assign(words, { fieldErrors: undefined }));

/** A refusal of two places: one that the form has a field for, and one that it tells in its own way. */
function refused(code: string, message: string): RequestError {
  const errors = ['#/name', '#/lines/3/gross'].map((pointer) => ({ in: 'body' as const, pointer, code, message }));
  return new RequestError({ kind: 'refused', problem: { type: '/problems#invalid-command', code: 'invalid-command', ...problems['invalid-command'], requestId: 'r-1', errors } });
}
const form = { fields: { name: 'name-field' }, elsewhere: (place: string, message: string) => ({ fieldId: 'file', message: `${place}: ${message}` }) };

it('says what only the api has a sentence for as one in English, at a field and elsewhere', () => {
  Object.assign(words, { language: 'de', fieldErrors: german });
  const inEnglish = ['Not before tomorrow'];
  expect(formErrorsOf(refused('of-tomorrow', 'Not before tomorrow.'), form)).toEqual([
    { fieldId: 'name-field', message: words.form.notTaken, inEnglish },
    { fieldId: 'file', message: `#/lines/3/gross: ${words.form.notTaken}`, inEnglish },
  ]);
  expect(formErrorsOf(refused('of-tomorrow', 'Not before tomorrow.'))).toEqual(Array(2).fill({ fieldId: null, message: words.form.notTaken, inEnglish }));
});

it('keeps what only the api says where all of it is one line', () => {
  Object.assign(words, { language: 'de', fieldErrors: german });
  expect(errorInOneLine(refused('of-tomorrow', 'Not before tomorrow.'))).toEqual({ message: words.form.notTaken, inEnglish: ['Not before tomorrow'] });
  expect(errorInOneLine(refused('taken', 'It is there.'))).toEqual({ message: 'Das gibt es schon.', inEnglish: [] });
});

it('says the rest in the words of the page', () => {
  Object.assign(words, { language: 'de', fieldErrors: german });
  expect(formErrorsOf(refused('taken', 'It is there.'), form)).toEqual([{ fieldId: 'name-field', message: 'Das gibt es schon.' }, { fieldId: 'file', message: '#/lines/3/gross: Das gibt es schon.' }]);
});

it('leaves English to the api on an English page', () => {
  Object.assign(words, { fieldErrors: {} });
  expect(formErrorsOf(refused('of-tomorrow', 'Not before tomorrow.'), form)).toEqual([{ fieldId: 'name-field', message: 'Not before tomorrow.' }, { fieldId: 'file', message: '#/lines/3/gross: Not before tomorrow.' }]);
});
