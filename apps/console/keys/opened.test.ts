import { bySite } from './opened';

const lock = (machineTag: string, fields: Partial<Parameters<typeof bySite>[0][number]> = {}) => ({
  machineId: machineTag, machineTag, siteId: 's', siteCode: 'S-1', siteName: 'Quay', lockId: machineTag, place: 'cash-door', opens: 'cash-box' as const, code: 'BOX', numbers: ['B-1'], ...fields,
});

test('machines of a site that the same copies open stand in one line', () => {
  const opened = bySite([lock('M-1'), lock('M-2'), lock('M-2', { place: 'second-lock' }), lock('M-3', { numbers: ['B-1', 'B-2'] }), lock('M-4', { siteCode: 'S-2', siteName: 'Mill' }), lock('M-1', { opens: 'play-area', numbers: ['D-1'] })]);
  expect(opened.map(({ siteCode, opens, numbers, machineTags }) => [siteCode, opens, numbers.join(), machineTags.join()])).toEqual([
    ['S-1', 'cash-box', 'B-1', 'M-1,M-2'],
    ['S-1', 'cash-box', 'B-1,B-2', 'M-3'],
    ['S-2', 'cash-box', 'B-1', 'M-4'],
    ['S-1', 'play-area', 'D-1', 'M-1'],
  ]);
});
