import { filterFrom, pathOfCollections } from './filter';

describe('the filter of collections in the address', () => {
  it('reads what it wrote', () => {
    const filter = { state: 'counted', from: '2026-10-01', before: '2026-11-01' } as const;
    const path = pathOfCollections(filter);
    expect(path).toBe('collections?state=counted&from=2026-10-01&before=2026-11-01');
    expect(filterFrom(new URL(path, 'http://here').searchParams)).toEqual(filter);
    const siteId = '0199a0b1-0000-7000-8000-000000000001';
    expect(filterFrom(new URL(pathOfCollections({ siteId }), 'http://here').searchParams)).toEqual({ siteId });
    expect(pathOfCollections({})).toBe('collections');
  });

  it('leaves out what it does not know', () => {
    expect(filterFrom(new URLSearchParams('state=lost&siteId=1&from=soon&before=2026-11-01T00:00'))).toEqual({});
  });
});
