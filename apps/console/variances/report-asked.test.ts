import { reportAskedBy } from './report-asked';

const today = new Date(2026, 0, 20);

test('asks for the last months by site when the address says nothing, or nonsense', () => {
  const usual = { by: 'site', from: '2025-10-01', to: '2026-01-31' };
  expect(reportAskedBy(new URLSearchParams(), today)).toEqual(usual);
  expect(reportAskedBy(new URLSearchParams('by=colour&from=soon&to=2026&site=5&tender=gold'), today)).toEqual(usual);
});

test('asks what the address says', () => {
  const site = '01890000-0000-7000-8000-000000000001';
  expect(reportAskedBy(new URLSearchParams(`by=month&from=2025-02-01&to=2025-02-28&site=${site}&tender=note`), today)).toEqual({ by: 'month', from: '2025-02-01', to: '2025-02-28', siteId: site, tender: 'note' });
});
