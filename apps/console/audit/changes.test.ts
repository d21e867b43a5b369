import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { AuditEntry } from '../api/shapes';
import { catalogues } from '../words/words';
import { columnsChanged } from './changes';

const entry = (fields: Partial<AuditEntry>): AuditEntry => ({ id: '1', recordedAt: '2026-11-01T10:00:00Z', actor: 'user:1', requestId: null, kind: 'site', thingId: '2', thingName: null, action: 'update', before: {}, after: {}, ...fields });
let columns: Readonly<Record<string, string>>;
beforeAll(async () => {
  ({ columns } = (await catalogues.en.pages()).machines.changes);
});
const reader = () => ({ columns, nothing: 'empty', day: (day: string) => `day ${day}`, moment: (instant: string) => `moment ${instant}`, actor: (actor: string) => `name of ${actor}`, value: (kind: string, column: string, value: string) => (`${kind}.${column}.${value}` === 'collection.state.open' ? 'Not counted yet' : undefined) });

it('names each column in words with what it was and is, and leaves out what says nothing', () => {
  const changed = columnsChanged(entry({ before: { name: 'Kettle', closed_on: null, revision: 1 }, after: { name: 'Copper Kettle', closed_on: '2026-11-01', revision: 2 } }), reader());
  expect(changed).toEqual([
    { column: 'Name', values: { before: 'Kettle', after: 'Copper Kettle' } },
    { column: 'Closed since', values: { before: 'empty', after: 'day 2026-11-01' } },
  ]);
});

it('writes lists and moments out, and of an id says only that it is another', () => {
  const changed = columnsChanged(entry({ before: { address: ['1 Quay', 'Quillham'], erased_at: null, tax_area_id: '3' }, after: { address: [], erased_at: '2026-11-01T10:00:00Z', tax_area_id: '4' } }), reader());
  expect(changed).toEqual([
    { column: 'Address', values: { before: '1 Quay, Quillham', after: 'empty' } },
    { column: 'Erased', values: { before: 'empty', after: 'moment 2026-11-01T10:00:00Z' } },
    { column: 'Tax area', values: null },
  ]);
});

it('names who did it, in place of the id of their account', () => {
  const changed = columnsChanged(entry({ before: { accepted_by: null }, after: { accepted_by: 'user:7' } }), reader());
  expect(changed).toEqual([{ column: 'Accepted by', values: { before: 'empty', after: 'name of user:7' } }]);
});

it('says a state in words, where there are some for it', () => {
  const changed = columnsChanged(entry({ kind: 'collection', before: { state: 'open' }, after: { state: 'elsewhere' } }), reader());
  expect(changed).toEqual([{ column: 'State', values: { before: 'Not counted yet', after: 'elsewhere' } }]);
});

it('says nothing more of a new thing', () => {
  expect(columnsChanged(entry({ action: 'insert', before: null, after: { name: 'Kettle' } }), reader())).toEqual([]);
});

const catalogue = JSON.parse(readFileSync(join(__dirname, '..', '..', '..', 'prisma', 'catalogue.json'), 'utf8')) as { readonly tables: Readonly<Record<string, { readonly columns: object }>> };

it.each(['public.site', 'public.machine', 'public.party'])('has a word for each column of %s, whose changes stand on its page', (table) => {
  const silent = ['id', 'tenant_id', 'revision', 'created_at'];
  const there = Object.keys(catalogue.tables[table]?.columns ?? {});
  expect(there).toContain('id');
  expect(there.filter((column) => !silent.includes(column) && !(column in columns))).toEqual([]);
});
