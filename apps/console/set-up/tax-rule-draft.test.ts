import { taxRuleDocumentSchema } from '#contracts/tax';
import type { TaxRule } from '../api/shapes';
import { componentsOf, onePart, readRule } from './tax-rule-draft';

const common = { title: 'Sales tax', currency: 'USD', per: 'month', filedBy: 'operator', borneBy: 'all', breakIns: 'not-in-base', locale: 'en-US' } as const;

it.each(['inside', 'on-takings', 'fixed'] as const)('makes of one figure a tax that the api takes: %s', (method) => {
  const read = readRule({ ...common, before: null, method, components: [{ id: 'tax', title: '', figure: '4.50' }] });
  expect(read.wrong).toEqual([]);
  expect(taxRuleDocumentSchema.safeParse(read.document).error).toBeUndefined();
  expect(JSON.stringify(read.document)).toContain(method === 'fixed' ? '"amount":"4.50"' : '"ratePercent":"4.5"');
});

it('names the parts whose figure cannot be read', () => {
  expect(readRule({ ...common, before: null, method: 'inside', components: [...onePart, { id: 'b', title: 'County', figure: '1' }, { id: 'c', title: 'City', figure: '101' }] }).wrong).toEqual([0, 2]);
});

const yearly: TaxRule = {
  id: 'r', taxAreaId: 'a', code: 'DEVICE', validFrom: '2025-01-01', validTo: null, source: '',
  document: {
    method: 'fixed', title: 'Device tax', currency: 'USD', machineKinds: ['jukebox'], filedBy: 'operator', borneBy: 'all', breakIns: 'in-base', per: 'year',
    timing: { kind: 'when-due', month: 1, day: 1, onPlacement: true },
    components: [{ id: 'machine', title: 'Device tax', amount: '35.00', placedLater: { month: 7, day: 1, amount: '20.00' } }],
  },
};

it('keeps what the form does not ask when a new rate follows', () => {
  const { document, wrong } = readRule({ ...common, title: 'Device tax', breakIns: 'in-base', method: 'fixed', before: yearly.document, components: componentsOf(yearly, 'en-US') });
  expect(wrong).toEqual([]);
  expect(document).toEqual(yearly.document);
});
