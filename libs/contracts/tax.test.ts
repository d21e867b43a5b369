import { localDate } from '#domain/calendar/local-date';
import { taxRuleDocumentSchema, toTaxRule } from './tax';

const common = { title: 'Device tax', currency: 'USD', machineKinds: ['pool-table'], filedBy: 'operator', borneBy: 'all', breakIns: 'not-in-base' };
const row = { id: 'row', taxAreaId: 'area', code: 'DEVICE', validFrom: localDate('2026-01-01'), validTo: null, source: 'a statute' };

test('a stored rule becomes the rule that the engine computes with', () => {
  const document = taxRuleDocumentSchema.parse({
    ...common, method: 'on-takings', rounding: 'together', negative: 'carry', capPerMachineMonth: '30.00',
    components: [{ id: 'city', title: 'City', ratePercent: '5', machineKinds: 'all' }],
  });
  expect(toTaxRule({ ...row, document })).toEqual({
    id: 'row', taxId: 'area:DEVICE', areaId: 'area', title: 'Device tax', source: 'a statute', from: '2026-01-01', until: null,
    machineKinds: ['pool-table'], filedBy: 'operator', borneBy: 'all', breakIns: 'not-in-base',
    method: 'on-takings', rounding: 'together', negative: 'carry', capPerMachineMonthMinor: 3000n,
    components: [{ id: 'city', title: 'City', ratePercent: '5', machineKinds: 'all' }],
  });
});

// Nebraska Rev. Stat. 77-3004: 35.00 per device, 20.00 if placed after 1 July.
test('amounts of a fixed tax are minor units, the one for later placements too', () => {
  const document = taxRuleDocumentSchema.parse({
    ...common, method: 'fixed', per: 'year', timing: { kind: 'when-due', month: 1, day: 1, onPlacement: true },
    components: [{ id: 'device', title: 'Device', amount: '35.00', placedLater: { month: 7, day: 2, amount: '20.00' } }],
  });
  expect(toTaxRule({ ...row, document })).toMatchObject({
    method: 'fixed', per: 'year', timing: { kind: 'when-due', month: 1, day: 1, onPlacement: true },
    components: [{ id: 'device', title: 'Device', amountMinor: 3500n, placedLater: { month: 7, day: 2, amountMinor: 2000n } }],
  });
});

test('an unknown currency is one error, not a crash', () => {
  const result = taxRuleDocumentSchema.safeParse({
    ...common, currency: 'QQQ', method: 'inside', negative: 'zero', capPerMachineMonth: '1.0', components: [{ id: 'a', title: 'A', ratePercent: '4' }],
  });
  expect(result.error?.issues.map((issue) => issue.path.join('/'))).toEqual(['currency']);
});
