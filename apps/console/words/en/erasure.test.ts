import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { erasableKinds } from './erasure';

test('whatever holds a text that may be erased has a word of its own', () => {
  const catalogue = readFileSync(join(__dirname, '..', '..', '..', '..', 'prisma', 'catalogue.json'), 'utf8');
  const triggers = [...catalogue.matchAll(/ ON (\S+) FOR EACH ROW WHEN \(app\.is_erasing\(\)\) EXECUTE FUNCTION app\.only_texts_change\('\{([^}]*)\}'/g)];
  const tables = triggers.flatMap(([, table = '', columns = '']) => (columns === '' ? [] : [table.replace('public.', '')]));
  expect(tables.length).toBeGreaterThan(40);
  expect(tables.filter((table) => erasableKinds[table] === undefined)).toEqual([]);
});
