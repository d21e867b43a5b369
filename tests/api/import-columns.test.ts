import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { columns } from '#backoffice/import/columns';
import { keyColumns } from '#backoffice/import/keys/columns';
import { imports } from '../../apps/console/words/en/imports';

const neededIn = (list: readonly { readonly name: string; readonly required: boolean }[]) => Object.fromEntries(list.map(({ name, required }) => [name, required]));

it('tells beside the upload of every column that a file may have', () => {
  expect(neededIn(imports.guide.columns)).toEqual(neededIn(columns));
  expect(neededIn(imports.guide.keyColumns)).toEqual(neededIn(keyColumns));
});

it('tells in the README of every column that a file may have', () => {
  const readme = readFileSync(resolve(__dirname, '..', '..', 'README.md'), 'utf8');
  const tables = [...readme.matchAll(/\| column \| needed \| holds \|\n(?:\|.*\n)+/g)].map(([table]) => table);
  const told = tables.map((table) => Object.fromEntries([...table.matchAll(/^\| `(\w+)` \| (yes)? ?\|/gm)].map(([, name, yes]) => [name, yes === 'yes'])));
  expect(told).toEqual([neededIn(columns), neededIn(keyColumns)]);
});
