/** Step 3: tax of the period by rule and component, brought to machines, groups and pools. */
import { allocate } from '#domain/money/allocation';
import type { TaxRule } from '#domain/tax/types';
import type { TaxHandling } from '#domain/terms/types';
import type { GroupRun } from '#domain/settlement/group-runs';
import { linesRef, writeLine, type LineSink, type Reason } from '#domain/settlement/line-sink';
import { quota, type ComponentTax, type RuleTax } from '#domain/settlement/component-tax';
import { ruleTax } from '#domain/settlement/rule-tax';
import { basesOf, type MachineBase, type RuleReach } from '#domain/settlement/tax-bases';
import type { NegativeTax, PeriodInputs } from '#domain/settlement/types';

export interface TaxRequest extends RuleReach {
  readonly inputs: PeriodInputs;
  readonly carriedIn: readonly NegativeTax[];
}

/** Writes the tax lines, adds the tax before the split to the pools, and returns the negative taxes to carry on. */
export function taxPeriod(sink: LineSink, request: TaxRequest): NegativeTax[] {
  const carried = new Map(request.carriedIn.map((entry) => [entry.taxId, entry.amountMinor]));
  if (request.runs.length > 0) {
    for (const rule of request.inputs.taxRules) {
      const bases = basesOf(rule, request);
      const tax = ruleTax({ rule, bases, inputs: request.inputs, carriedMinor: carried.get(rule.taxId) ?? 0n });
      if (tax.bases.length === 0) continue;
      carried.set(rule.taxId, tax.carriedMinor);
      writeBase(sink, rule, tax);
      for (const component of tax.components) spreadComponent(sink, { rule, tax, component, runs: request.runs });
    }
  }
  return [...carried]
    .flatMap(([taxId, amountMinor]) => (amountMinor === 0n ? [] : [{ taxId, amountMinor }]))
    .sort((first, second) => (first.taxId < second.taxId ? -1 : 1));
}

function writeBase(sink: LineSink, rule: TaxRule, tax: RuleTax): void {
  if (rule.method === 'fixed') return;
  const about = { taxRuleId: rule.id, taxAreaId: rule.areaId };
  const ref = { of: 'tax-rule', ruleId: rule.id } as const;
  writeLine(sink, { key: baseKey(rule), step: 'tax', kind: 'tax-base', about, amountMinor: tax.baseMinor }, () => ({
    formula: 'base-of-rule',
    inputs: linesRef(tax.bases.flatMap((base) => base.lineKeys())),
    rule: ref,
  }));
  const { taxable } = tax;
  if (taxable === null) return;
  writeLine(sink, { key: `tax/${rule.id}/taxable`, step: 'tax', kind: 'tax-taxable', about, amountMinor: taxable.minor }, () => ({
    formula: 'base-without-tax',
    inputs: linesRef([baseKey(rule)]),
    rule: ref,
    exact: taxable.exact,
  }));
}

interface Spread {
  readonly rule: TaxRule;
  readonly tax: RuleTax;
  readonly component: ComponentTax;
  readonly runs: readonly GroupRun[];
}

/** Machine first, then group: each machine's part goes to the groups by its positive net takings in them. */
function spreadComponent(sink: LineSink, spread: Spread): void {
  const { tax, component, runs } = spread;
  const byRun = runs.map(() => tax.bases.map(() => 0n));
  tax.bases.forEach((base, machineIndex) => {
    const part = component.byMachine[machineIndex] ?? 0n;
    toRuns(part, base, runs).forEach((share, runIndex) => {
      const row = byRun[runIndex];
      if (row !== undefined) row[machineIndex] = share;
    });
  });
  runs.forEach((run, runIndex) => writeGroup(sink, { ...spread, run, parts: byRun[runIndex] ?? [] }));
}

function toRuns(part: bigint, base: MachineBase, runs: readonly GroupRun[]): bigint[] {
  if (runs.length === 1) return [part];
  const weights = positive(runs.map((_run, index) => base.netByRun[index] ?? 0n));
  if (weights.some((weight) => weight > 0n)) return allocate({ amountMinor: part, weights });
  // Nothing to go by: the first group in which the machine has anything under the rule, else anything at all.
  const under = base.netByRun.findIndex((net) => net !== null);
  const first = under >= 0 ? under : runs.findIndex((run) => run.machines.some((entry) => entry.machine.id === base.machine.id && entry.cell !== null));
  return runs.map((_run, index) => (index === Math.max(first, 0) ? part : 0n));
}

function writeGroup(
  sink: LineSink,
  { rule, component, run, runs, parts, tax }: Spread & { readonly run: GroupRun; readonly parts: readonly bigint[] },
): void {
  const group = run.group.number;
  const { filedBy, borneBy } = handlingOf(rule, run.group.terms.tax);
  const amountMinor = parts.reduce((sum, part) => sum + part, 0n);
  const named = { taxRuleId: rule.id, taxAreaId: rule.areaId, taxComponentId: component.id, title: component.title };
  const key = `tax/${rule.id}/${component.id}/${group}/${filedBy}/${borneBy}`;
  const touched = tax.bases.some((base) => run.machines.some((entry) => entry.machine.id === base.machine.id && entry.cell !== null));
  if (amountMinor === 0n && !touched) return;
  writeLine(
    sink,
    {
      key,
      step: 'tax',
      kind: borneBy === 'all' ? 'tax' : 'operator-tax',
      about: { group, ...named, filedBy, party: filedBy === 'site' ? run.group.site : run.group.operator },
      amountMinor,
    },
    () => ({
      formula: component.formula,
      inputs:
        rule.method === 'inside' && tax.taxable !== null
          ? linesRef([`tax/${rule.id}/taxable`])
          : sink.inFull && component.isOfMachines
            ? linesRef(tax.bases.flatMap(({ machine }, index) => ((parts[index] ?? 0n) === 0n ? [] : [`${key}/${machine.id}`])))
            : rule.method === 'fixed'
              ? []
              : linesRef([baseKey(rule)]),
      rule: { of: 'tax-rule', ruleId: rule.id },
      // Several groups divide what was rounded once for all of them.
      ...(component.exact === null || (sink.inFull && runs.length > 1) ? {} : { exact: component.exact }),
      parameters: sink.inFull && runs.length > 1 ? { wholeMinor: component.amountMinor.toString() } : {},
    }),
  );
  tax.bases.forEach(({ machine }, index) => {
    const part = parts[index] ?? 0n;
    if (part === 0n) return;
    const pool = run.poolOf.get(machine.id);
    const machineKey = `${key}/${machine.id}`;
    if (borneBy === 'all' && pool !== undefined) {
      pool.taxMinor += part;
      pool.taxKeys.push(machineKey);
    }
    writeLine(
      sink,
      { key: machineKey, step: 'tax', kind: 'tax-of-machine', about: { group, machineId: machine.id, ...named, filedBy }, amountMinor: part },
      () => ({
        formula: component.isOfMachines ? component.formula : 'allocated',
        // A machine's own tax is what the component adds up; otherwise the machine has a part of the component.
        inputs: linesRef(sink.inFull && component.isOfMachines ? tax.bases[index]?.lineKeys() ?? [] : [key]),
        rule: { of: 'tax-rule', ruleId: rule.id },
        ...(sink.inFull ? exactPart({ component, runs, run, base: tax.bases[index], index }) : {}),
      }),
    );
  });
}

/** A machine's part before its last rounding: that of the component, or where there are several groups that of the machine. */
function exactPart(part: Pick<Spread, 'component' | 'runs'> & { readonly run: GroupRun; readonly base: MachineBase | undefined; readonly index: number }): Pick<Reason, 'exact'> {
  const { component, runs, run, base, index } = part;
  const exact =
    runs.length === 1 || base === undefined
      ? component.exactOfMachine(index)
      : quota({ amountMinor: component.byMachine[index] ?? 0n, weights: positive(runs.map((_run, at) => base.netByRun[at] ?? 0n)) }, runs.indexOf(run));
  return exact === null ? {} : { exact };
}

function positive(weights: readonly bigint[]): bigint[] {
  return weights.map((weight) => (weight > 0n ? weight : 0n));
}

function baseKey(rule: TaxRule): string {
  return `tax/${rule.id}/base`;
}

/** The agreement may settle who files and who bears; otherwise the rule's own word holds. */
export function handlingOf(rule: TaxRule, handling: TaxHandling): { filedBy: 'operator' | 'site'; borneBy: 'all' | 'operator' } {
  return {
    filedBy: handling.filedBy === 'as-the-rule-says' ? rule.filedBy : handling.filedBy,
    borneBy: handling.borneBy === 'as-the-rule-says' ? rule.borneBy : handling.borneBy,
  };
}
