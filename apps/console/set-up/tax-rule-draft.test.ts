import { taxRuleDocumentSchema } from '#contracts/tax';
import type { TaxRule } from '../api/shapes';
import { componentsOf, detailsOf, newPart, onePart, plainDetails, readRule, type ComponentDraft } from './tax-rule-draft';

const common = { title: 'Sales tax', currency: 'USD', per: 'month', filedBy: 'operator', borneBy: 'all', breakIns: 'not-in-base', locale: 'en-US', details: plainDetails } as const;
const part = (fields: Partial<ComponentDraft>): ComponentDraft => ({ ...newPart(1), ...fields });

it.each(['inside', 'on-takings', 'fixed'] as const)('makes of one figure a tax that the api takes: %s', (method) => {
  const read = readRule({ ...common, before: null, method, components: [part({ id: 'tax', figure: '4.50' })] });
  expect(read.wrong).toEqual([]);
  expect(taxRuleDocumentSchema.safeParse(read.document).error).toBeUndefined();
  expect(JSON.stringify(read.document)).toContain(method === 'fixed' ? '"amount":"4.50"' : '"ratePercent":"4.5"');
});

it('names the parts whose figure cannot be read, and those without a name of their own', () => {
  expect(readRule({ ...common, before: null, method: 'inside', components: [...onePart, part({ id: 'b', title: 'County', figure: '1' }), part({ id: 'c', title: 'City', figure: '101' })] }).wrong).toEqual(['title-0', 'figure-0', 'figure-2']);
});

const yearly: TaxRule = {
  id: 'r', taxAreaId: 'a', code: 'DEVICE', validFrom: '2025-01-01', validTo: null, source: '',
  document: {
    method: 'fixed', title: 'Device tax', currency: 'USD', machineKinds: ['jukebox'], filedBy: 'operator', borneBy: 'all', breakIns: 'in-base', per: 'year',
    timing: { kind: 'when-due', month: 1, day: 1, onPlacement: true },
    components: [{ id: 'machine', title: 'Device tax', amount: '35.00', placedLater: { month: 7, day: 1, amount: '20.00' } }],
  },
};
const local: TaxRule = {
  ...yearly, code: 'LOCAL',
  document: {
    method: 'on-takings', title: 'Local tax', currency: 'USD', machineKinds: ['jukebox', 'pool-table'], filedBy: 'site', borneBy: 'operator', breakIns: 'not-in-base', negative: 'carry', capPerMachineMonth: '12.50',
    rounding: 'together', components: [{ id: 'city', title: 'City', ratePercent: '1.25', machineKinds: 'all' }, { id: 'county', title: 'County', ratePercent: '3', machineKinds: ['jukebox'] }],
  },
};

it.each([yearly, local])('reads a tax with all of its details back as it was: $code', (rule) => {
  const { title, method, currency, filedBy, borneBy, breakIns } = rule.document;
  const { document, wrong } = readRule({ ...common, title, method, currency: currency as 'USD', filedBy, borneBy, breakIns, before: rule.document, components: componentsOf(rule, 'de-DE'), details: detailsOf(rule, 'de-DE'), locale: 'de-DE' });
  expect(wrong).toEqual([]);
  expect(document).toEqual(rule.document);
});

it('makes of details as they are typed a tax that the api takes', () => {
  const details = { ...plainDetails, kinds: 'Pool table, Juke box,', cap: '40', negative: 'carry', rounding: 'together' } as const;
  const read = readRule({ ...common, before: null, method: 'on-takings', details, components: [part({ id: 'a', title: 'State', figure: '4' }), part({ id: 'b', title: 'County', figure: '0.5' })] });
  expect(read.wrong).toEqual([]);
  expect(read.document).toMatchObject({ machineKinds: ['pool-table', 'juke-box'], capPerMachineMonth: '40.00', negative: 'carry', rounding: 'together', components: [{ title: 'State' }, { title: 'County' }] });
  expect(taxRuleDocumentSchema.safeParse(read.document).error).toBeUndefined();
});

it('says of each detail that cannot be so where it stands', () => {
  const rated = readRule({ ...common, before: null, method: 'inside', details: { ...plainDetails, kinds: '7', cap: 'much' }, components: [part({ figure: '4' })] });
  expect(rated.wrong).toEqual(['kinds', 'cap']);
  const due = { ...plainDetails, timing: 'when-due', dueMonth: '2', dueDay: '29' } as const;
  const fixed = readRule({ ...common, before: null, method: 'fixed', details: due, components: [part({ figure: '35', laterFigure: 'less', laterMonth: '4', laterDay: '31' })] });
  expect(fixed.wrong).toEqual(['dueDay', 'laterFigure-0', 'laterDay-0']);
  // A machine that does not owe it on its first day has no amount of its own then.
  const atOnce = readRule({ ...common, before: null, method: 'fixed', details: { ...due, dueDay: '28', onPlacement: false }, components: [part({ figure: '35', laterFigure: 'less' })] });
  expect(atOnce.wrong).toEqual([]);
  expect(atOnce.document).toMatchObject({ components: [{ placedLater: null }] });
});
