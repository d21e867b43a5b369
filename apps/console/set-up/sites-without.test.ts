import type { Agreement, Site } from '../api/shapes';
import { sitesWithout } from './sites-without';

const site = (id: string, closedOn: string | null = null) => ({ id, closedOn }) as Site;
const agreement = (siteId: string, endedOn: string | null = null) => ({ siteId, endedOn }) as Agreement;

it('names open sites where nothing is agreed any more or yet', () => {
  const sites = [site('agreed'), site('ended'), site('ends-later'), site('never'), site('closed', '2026-11-01'), site('closes-later', '2026-12-01')];
  const agreements = [agreement('agreed'), agreement('ended', '2026-11-20'), agreement('ends-later', '2026-11-21')];
  expect(sitesWithout({ sites, agreements, on: '2026-11-20' }).map(({ id }) => id)).toEqual(['ended', 'never', 'closes-later']);
});
