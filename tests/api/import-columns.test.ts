import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { columns } from '#backoffice/import/columns';
import { imports } from '../../apps/console/words/en/imports';

const needed = Object.fromEntries(columns.map(({ name, required }) => [name, required]));

it('tells beside the upload of every column that a file may have', () => {
  expect(Object.fromEntries(imports.guide.columns.map(({ name, required }) => [name, required]))).toEqual(needed);
});

it('tells in the README of every column that a file may have', () => {
  const readme = readFileSync(resolve(__dirname, '..', '..', 'README.md'), 'utf8');
  const table = /\| column \| needed \| holds \|\n(?:\|.*\n)+/.exec(readme)?.[0] ?? '';
  const rows = [...table.matchAll(/^\| `(\w+)` \| (yes)? ?\|/gm)];
  expect(Object.fromEntries(rows.map(([, name, yes]) => [name, yes === 'yes']))).toEqual(needed);
});
