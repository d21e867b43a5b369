import type { PhoneVisit } from '../api/shapes';

type Problem = NonNullable<PhoneVisit['problem']>;

const revoked: Problem = { code: 'device-revoked', detail: 'The device was revoked before this visit arrived.', errors: [] };
const wrongDay: Problem = { code: 'invalid-command', detail: null, errors: [{ pointer: '#/happenedAt', code: 'in-the-future', message: 'is in the future', in: 'body', values: {} }, { pointer: '#/x', code: 'nobody-knows-this', message: 'is odd', in: 'body', values: {} }] };

/** Words are taken where a file begins, so the language comes before it. */
async function inLanguage(language: string) {
  jest.resetModules();
  jest.doMock('../words/language', () => ({ language }));
  const { fetchFirstWords, fetchPageWords } = await import('../words/words');
  await Promise.all([fetchFirstWords(), fetchPageWords()]);
  return import('./say-kept');
}

it('says why a visit waits in the language of the page, and leaves what only the api says to the small print', async () => {
  const { sayKept } = await inLanguage('de');
  expect(sayKept(revoked)).toEqual({ own: ['Das Telefon wurde gesperrt'], inEnglish: ['The device was revoked before this visit arrived'] });
  expect(sayKept(wrongDay)).toMatchObject({ own: [expect.not.stringContaining('is in')], inEnglish: ['is odd'] });
});

it('says on an English page what the api says', async () => {
  const { sayKept } = await inLanguage('en');
  expect(sayKept(revoked)).toEqual({ own: ['The device was revoked before this visit arrived.'], inEnglish: [] });
});
