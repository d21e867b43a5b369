/**
 * Every ready area: well formed, computable, printable, and against the figures of its source where the source has any.
 * [P]: inputs and outputs are printed in the source. [R]: the rule or rate is printed, the output is arithmetic on it.
 */
import { unprintable } from '#backoffice/printable';
import { toLawLimit } from '#contracts/law-limit';
import { readyTaxAreaSchema, type ReadyTaxArea } from '#contracts/ready-area';
import { readyTaxAreas } from '#contracts/ready-areas/all';
import { toTaxRule } from '#contracts/tax';
import { localDate } from '#domain/calendar/local-date';
import { settle } from '#domain/settlement/settle';
import { checkTaxRules } from '#domain/tax/check-rules';
import type { TaxRule } from '#domain/tax/types';
import { checkLaw } from '#domain/terms/check-law';
import { count, inputs, machine, operator, period, shares, site, terms } from '#tests/support/settlement-inputs';

const rulesOf = (ready: ReadyTaxArea): TaxRule[] => ready.rules.map((rule, index) => toTaxRule({ ...rule, id: `rule-${index}`, taxAreaId: 'area' }));

function areaOf(id: string): ReadyTaxArea {
  const found = readyTaxAreas.find((candidate) => candidate.id === id);
  if (found === undefined) throw new Error(`no ready area ${id}`);
  return found;
}

describe.each(readyTaxAreas.map((ready) => [ready.id, ready] as const))('%s', (_id, ready) => {
  test('is well formed, with rules that can be computed', () => {
    expect(readyTaxAreaSchema.parse(ready)).toEqual(ready);
    expect(checkTaxRules(rulesOf(ready))).toEqual([]);
    expect(ready.rules.length).toBeGreaterThan(0);
  });

  test('names its source and the day it was read, and says to check', () => {
    expect(ready.caution).toContain('Check with your tax authority');
    for (const { source } of [...ready.rules, ...ready.limits]) expect(source).toMatch(/; read \d{4}-\d{2}-\d{2}, to be checked with the tax authority\.$/);
  });

  test('has one currency, and names that a statement can print', () => {
    expect(new Set(ready.rules.map((rule) => rule.document.currency))).toEqual(new Set([ready.currency]));
    const titles = ready.rules.flatMap(({ document }) => [document.title, ...document.components.map((component) => component.title)]);
    expect(unprintable({ name: ready.name, titles })).toEqual([]);
  });
});

test('ids and codes are used once, and the list is in order', () => {
  for (const values of [readyTaxAreas.map((ready) => ready.id), readyTaxAreas.map((ready) => ready.code)]) expect(new Set(values).size).toBe(values.length);
  const keys = readyTaxAreas.map((ready) => `${ready.country} ${ready.name}`);
  expect(keys).toEqual([...keys].sort());
});

/** The tax of one machine that stands there from a day on and earned an amount in a month. */
function taxOf(ready: ReadyTaxArea, month: { from: string; until: string; takingsMinor: bigint; placedOn?: string }): bigint[] {
  const [from, until] = [localDate(month.from), localDate(month.until)];
  const standing = machine('A', { placements: [{ id: 'p-A', from: localDate(month.placedOn ?? '2024-01-01'), until: null }] });
  const taken = count('A', month.from, month.takingsMinor, { coveredFrom: from, coveredUntil: until });
  const rules = rulesOf(ready).filter((rule) => rule.from < until && (rule.until === null || rule.until > from));
  return settle(inputs(period(month.from, month.until, { taxRules: rules, machines: [standing], counts: [taken] }))).taxes.map((tax) => tax.amountMinor);
}

const march = { from: '2026-03-01', until: '2026-04-01' };
const january = { from: '2026-01-01', until: '2026-02-01' };

test.each([
  ['us-fl-surtax-0-5', '[P] Form DR-15N, line A: gross 100.00 -> tax 4.31, of which surtax 0.48', { ...march, takingsMinor: 10_000n }, [383n, 48n]],
  ['us-fl-surtax-1', '[R] Rule 12A-15.011(1) F.A.C.: 1,000.00 -> 47.62, of which surtax 9.52', { ...march, takingsMinor: 100_000n }, [3810n, 952n]],
  ['us-ar', '[R] GR-16(B) at the state rate alone: 106.50 -> 6.50', { ...march, takingsMinor: 10_650n }, [650n]],
  ['us-id', '[P] IDAPA 35.01.02.109: 6 % -> 42.00 a device', { ...january, takingsMinor: 100_000n }, [4200n]],
  ['us-id', '[P] IDAPA 35.01.02.109: once a year', { ...march, takingsMinor: 100_000n }, []],
  ['us-ne', '[P] Neb. Rev. Stat. 77-3004: 35.00 a device', { ...january, takingsMinor: 100_000n }, [3500n]],
  ['us-ne', '[P] Neb. Rev. Stat. 77-3004: 20.00 if placed after 1 July', { from: '2026-08-01', until: '2026-09-01', takingsMinor: 100_000n, placedOn: '2026-08-03' }, [2000n]],
  ['us-ne', 'secondary source: 70.00 from 1 January 2027', { from: '2027-01-01', until: '2027-02-01', takingsMinor: 100_000n }, [7000n]],
  ['us-ok', '[P] 68 O.S. 1503(A)(1): 75.00 a device', { ...january, takingsMinor: 100_000n }, [7500n]],
  ['us-tn', '[P] 10.00 a machine on 1 July', { from: '2026-07-01', until: '2026-08-01', takingsMinor: 100_000n }, [1000n]],
  ['us-il', '[P] 35 ILCS 510/1: 30.00 a device on 1 August', { from: '2026-08-01', until: '2026-09-01', takingsMinor: 100_000n }, [3000n]],
  ['us-tx', '[P] Texas Comptroller: 60.00 a machine', { ...january, takingsMinor: 46_000n }, [6000n]],
  ['ca-gst', '[R] Excise Tax Act 165(1): 105.00 -> 5.00', { ...march, takingsMinor: 10_500n }, [500n]],
  ['gb-vat', '[R] HMRC VBANDG12200, fraction 1/6: 120.00 -> 20.00', { ...march, takingsMinor: 12_000n }, [2000n]],
  ['de-vat', '[R] UStG s. 12(1), 19/119: 119.00 -> 19.00', { ...march, takingsMinor: 11_900n }, [1900n]],
  ['de-limburg', '[R] by-law: base 400.00 -> 20.00', { ...march, takingsMinor: 40_000n }, [6387n, 2000n]],
  ['de-limburg', '[R] by-law: base 600.00 -> 30.00', { ...march, takingsMinor: 60_000n }, [9580n, 3000n]],
  ['de-limburg', '[R] by-law: base 900.00 -> 30.00 at most', { ...march, takingsMinor: 90_000n }, [14370n, 3000n]],
  ['fr-vat', '[R] CGI art. 278: 120.00 -> 20.00', { ...march, takingsMinor: 12_000n }, [2000n]],
])('%s: %s', (id, _source, month, expected) => {
  expect(taxOf(areaOf(id), month)).toEqual(expected);
});

test('Texas Occupations Code 2153.205: a 55 % site share is refused, one of 50 % is not', () => {
  const limits = areaOf('us-tx').limits.map((limit, index) => toLawLimit({ ...limit, id: `limit-${index}`, taxAreaId: 'area' }));
  const split = (operatorPercent: string, sitePercent: string) => ({ kind: 'shares', shares: shares([operator, operatorPercent], [site, sitePercent]) }) as const;
  const codes = (...parts: [string, string]) => checkLaw(terms({ split: split(...parts) }), limits).map((problem) => problem.code);
  expect(codes('45', '55')).toEqual(['law-highest-site-share']);
  expect(codes('50', '50')).toEqual([]);
});
