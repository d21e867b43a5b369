import { unprintable } from './printable';

test('names in Latin, Greek and Cyrillic letters print whole', () => {
  expect(unprintable({ name: 'Łódź · Žižkov · Ελλάδα · Київ', address: ['Straße 1', 'São João'] })).toEqual([]);
});

test('a letter that the statement has not is named with its field', () => {
  expect(unprintable({ name: '居酒屋', address: ['1 Main Street', 'כפר'], title: undefined })).toEqual([
    { path: ['name'], code: 'not-printable', message: expect.stringContaining('居 (U+5C45)') },
    { path: ['address', 1], code: 'not-printable', message: expect.stringContaining('U+05DB') },
  ]);
});
