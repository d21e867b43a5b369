import { earningsAskedBy } from './asked';

const today = new Date('2026-03-10T12:00:00');

test.each([
  ['', { by: 'place', from: '2025-03-01', to: '2026-02-28', query: { from: '2025-03-01', before: '2026-03-01' } }],
  ['by=game&from=2026-01-01&to=2026-01-31', { by: 'game', from: '2026-01-01', to: '2026-01-31', query: { from: '2026-01-01', before: '2026-02-01' } }],
  ['by=nonsense&from=2026-02-01&to=2026-01-01', { by: 'place', query: null }],
  ['from=2020-01-01&to=2026-01-01', { query: null }],
])('%s', (address, asked) => {
  expect(earningsAskedBy(new URLSearchParams(address), today)).toMatchObject(asked);
});
