import { languageFor } from './language';

describe('the language of the console', () => {
  it('is what was chosen in this browser, whatever the browser asks for', () => {
    expect(languageFor({ chosen: 'es', wanted: ['de-AT', 'en'] })).toBe('es');
  });

  it('is the first of the reader’s languages that there is, in any of its varieties', () => {
    expect(languageFor({ chosen: null, wanted: ['fr-FR', 'de-AT', 'en'] })).toBe('de');
    expect(languageFor({ chosen: null, wanted: ['ES-mx'] })).toBe('es');
  });

  it('is English for whom none is there, and when what was kept is none', () => {
    expect(languageFor({ chosen: null, wanted: ['fr', 'it'] })).toBe('en');
    expect(languageFor({ chosen: 'constructor', wanted: [] })).toBe('en');
  });
});
