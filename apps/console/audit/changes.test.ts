import type { AuditEntry } from '../api/shapes';
import { columnsChanged } from './changes';

const entry = (fields: Partial<AuditEntry>): AuditEntry => ({ id: '1', recordedAt: '2026-11-01T10:00:00Z', actor: 'user:1', requestId: null, kind: 'site', thingId: '2', action: 'update', before: {}, after: {}, ...fields });

it('names each column with what it was and is, and leaves out what says nothing', () => {
  const changed = columnsChanged(entry({ before: { name: 'Kettle', closed_on: null, revision: 1 }, after: { name: 'Copper Kettle', closed_on: '2026-11-01', revision: 2 } }), 'empty');
  expect(changed).toEqual([
    { column: 'name', before: 'Kettle', after: 'Copper Kettle' },
    { column: 'closed on', before: 'empty', after: '2026-11-01' },
  ]);
});

it('writes lists out', () => {
  expect(columnsChanged(entry({ before: { address: ['1 Quay'] }, after: { address: [] } }), 'empty')).toEqual([{ column: 'address', before: '["1 Quay"]', after: '[]' }]);
});

it('says nothing more of a new thing', () => {
  expect(columnsChanged(entry({ action: 'insert', before: null, after: { name: 'Kettle' } }), 'empty')).toEqual([]);
});
