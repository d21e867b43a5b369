// Tax: each dated row of a rule on the net takings of the machines it covers, rounded only where a return would be.
import { type Day, daysBetween, scaledByDays, union } from './calendar';
import { type Exact, allocate, exact, positive, round, smallest, sum, sumExact } from './numbers';
import { type Entry, byTag, netOf } from './takings';
import type { Count, SettlementInput, TaxComponent, TaxRule } from './terms';

export interface TaxPart {
  machine: string;
  group: number;
  amountMinor: bigint;
}

export interface TaxLine {
  rule: string;
  from: Day;
  component: string;
  amountMinor: bigint;
  filedBy: 'operator' | 'site';
  borneBy: 'all' | 'operator';
  /** Where a tax before the split comes from; empty if the operator's share bears it. */
  parts: readonly TaxPart[];
}

export interface TaxResult {
  lines: TaxLine[];
  negativeTax: Map<string, bigint>;
}

interface Scope {
  rule: TaxRule;
  entries: readonly Entry[];
  machines: readonly string[];
  daysOf: (machine: string) => Day[];
  period: { from: Day; until: Day };
}

/** One component's tax; `own` when the tax is reckoned machine by machine. */
interface Reckoned {
  component: TaxComponent;
  amountMinor: bigint;
  own?: Map<string, bigint>;
}

/** All tax of one settlement. Rows of one rule run in order of their dates, so that a negative tax meets the next row first. */
export function taxOf(input: SettlementInput, entries: readonly Entry[]): TaxResult {
  const negativeTax = new Map(input.carriedIn.negativeTax);
  const lines: TaxLine[] = [];
  for (const rule of [...input.taxRules].sort((left, right) => left.from - right.from)) {
    const applies = (row: { date: Day; machine: string }) => rule.from <= row.date && row.date < rule.until && covers(rule, kindOf(row.machine));
    const kindOf = (tag: string) => input.machines.find((machine) => machine.tag === tag)?.kind ?? '';
    const covered = entries.filter(applies);
    const counts = input.counts.filter(applies);
    const machines = byTag(covered.map((entry) => entry.machine));
    if (machines.length === 0) continue;
    const scope = { rule, entries: covered, machines, daysOf: (machine: string) => coveredDays(counts, machine), period: input.period };
    const reckoned = reckon(scope);
    const settled = setAgainst(reckoned, { carriedMinor: negativeTax.get(rule.name) ?? 0n, carries: rule.carryNegative });
    negativeTax.set(rule.name, settled.carriedMinor);
    for (const one of settled.components) {
      const parts = rule.borneBy === 'all' ? partsOf(one, scope) : [];
      const { filedBy, borneBy } = rule;
      lines.push({ rule: rule.name, from: rule.from, component: one.component.name, amountMinor: one.amountMinor, filedBy, borneBy, parts });
    }
  }
  return { lines, negativeTax };
}

function covers(rule: TaxRule, kind: string): boolean {
  return rule.kinds === 'all' || rule.kinds.includes(kind);
}

function componentCovers(component: TaxComponent, kind: string): boolean {
  return component.kinds === undefined || component.kinds.includes(kind);
}

function coveredDays(counts: readonly Count[], machine: string): Day[] {
  return union(counts.filter((count) => count.machine === machine).map((count) => daysBetween({ from: count.coveredFrom, until: count.coveredUntil })));
}

/** Net takings as the rule sees them: with or without what was stolen. */
function baseOf(rule: TaxRule, entries: readonly Entry[]): bigint {
  const stolen = sum(entries.map((entry) => entry.breakInMinor));
  return netOf(entries) - sum(entries.map((entry) => entry.breakInInTakingsMinor)) + (rule.includesBreakIns ? stolen : 0n);
}

function componentBase(scope: Scope, component: TaxComponent): bigint {
  return baseOf(scope.rule, scope.entries.filter((entry) => componentCovers(component, entry.kind)));
}

function reckon(scope: Scope): Reckoned[] {
  const { tax } = scope.rule;
  if (tax.method === 'fixed') return [reckonFixed(scope, tax)];
  if (tax.capPerMachineMonthMinor !== undefined) return reckonCapped(scope, tax.components, tax.capPerMachineMonthMinor);
  if (tax.method === 'inside') {
    const { taxMinor, taxableMinor } = insideTax(baseOf(scope.rule, scope.entries), tax.components);
    const later = tax.components.slice(1).map((component) => round(exact(taxableMinor).mul(component.rate)));
    return firstTakesTheRest(taxMinor, tax.components, later);
  }
  const exactTaxes = tax.components.map((component) => exact(componentBase(scope, component)).mul(component.rate));
  if (tax.together) return firstTakesTheRest(round(sumExact(exactTaxes)), tax.components, exactTaxes.slice(1).map(round));
  return tax.components.map((component, index) => ({ component, amountMinor: round(exactTaxes[index] ?? exact(0n)) }));
}

function insideTax(grossMinor: bigint, components: readonly TaxComponent[]): { taxMinor: bigint; taxableMinor: bigint } {
  const rates = sumExact(components.map((component) => exact(component.rate)));
  const taxableMinor = round(exact(grossMinor).div(rates.add(1)));
  return { taxMinor: grossMinor - taxableMinor, taxableMinor };
}

/** Later components get what they reckon, at most what is left; the first gets what they leave. */
function firstTakesTheRest(taxMinor: bigint, components: readonly TaxComponent[], laterMinor: readonly bigint[]): Reckoned[] {
  let leftMinor = taxMinor;
  const later = laterMinor.map((amountMinor) => {
    const taken = smallest([amountMinor, leftMinor]);
    leftMinor -= taken;
    return taken;
  });
  return components.map((component, index) => ({ component, amountMinor: index === 0 ? leftMinor : (later[index - 1] ?? 0n) }));
}

function reckonFixed(scope: Scope, tax: Extract<TaxRule['tax'], { method: 'fixed' }>): Reckoned {
  const { due } = tax;
  const own = new Map(
    scope.machines.map((machine) => {
      if (due === 'by-days') return [machine, round(scaledByDays(tax.amountMinor, tax.per, scope.daysOf(machine)))];
      const times = due.filter((day) => scope.period.from <= day && day < scope.period.until && scope.rule.from <= day && day < scope.rule.until);
      return [machine, tax.amountMinor * BigInt(times.length)];
    }),
  );
  return { component: { name: tax.name, rate: '1' }, amountMinor: sum([...own.values()]), own };
}

/** With a cap every machine's tax is its own: not above the cap for its days, not below zero, then divided by the rates. */
function reckonCapped(scope: Scope, components: readonly TaxComponent[], capMinor: bigint): Reckoned[] {
  const owns = components.map(() => new Map<string, bigint>());
  for (const machine of scope.machines) {
    const entries = scope.entries.filter((entry) => entry.machine === machine);
    const baseMinor = baseOf(scope.rule, entries);
    const applying = components.filter((component) => componentCovers(component, entries[0]?.kind ?? ''));
    const rates = applying.map((component) => exact(component.rate));
    const uncapped = scope.rule.tax.method === 'inside' ? insideTax(baseMinor, applying).taxMinor : round(exact(baseMinor).mul(sumExact(rates)));
    const taxMinor = positive(smallest([uncapped, round(scaledByDays(capMinor, 'month', scope.daysOf(machine)))]));
    allocate(taxMinor, rates).forEach((part, index) => {
      const place = components.findIndex((component) => component === applying[index]);
      owns[place]?.set(machine, part);
    });
  }
  return components.map((component, index) => {
    const own = owns[index] ?? new Map<string, bigint>();
    return { component, own, amountMinor: sum([...own.values()]) };
  });
}

/** A negative tax is no tax; where the rule carries it, it waits for the rule's next tax and never turns into money. */
function setAgainst(reckoned: readonly Reckoned[], carry: { carriedMinor: bigint; carries: boolean }): { components: readonly Reckoned[]; carriedMinor: bigint } {
  const ownMinor = sum(reckoned.map((one) => one.amountMinor));
  const netMinor = ownMinor + carry.carriedMinor;
  if (netMinor <= 0n) {
    const components = reckoned.map(({ component }) => ({ component, amountMinor: 0n }));
    return { components, carriedMinor: carry.carries ? netMinor : 0n };
  }
  if (carry.carriedMinor === 0n) return { components: reckoned, carriedMinor: 0n };
  const components = reckoned.map((one) => one.component);
  const lowered = firstTakesTheRest(netMinor, components, reckoned.slice(1).map((one) => one.amountMinor));
  // What machines had of their own is lowered in proportion, so that it still adds up.
  return { components: lowered.map((one, index) => ({ ...one, ...lowerOwn(reckoned[index]?.own, one.amountMinor) })), carriedMinor: 0n };
}

function lowerOwn(own: Map<string, bigint> | undefined, amountMinor: bigint): { own?: Map<string, bigint> } {
  if (own === undefined) return {};
  const parts = allocate(amountMinor, [...own.values()].map(exact));
  return { own: new Map([...own.keys()].map((machine, index) => [machine, parts[index] ?? 0n])) };
}

/** A component goes to machine and group by positive net takings, machines first; what is a machine's own only to its groups. */
function partsOf(one: Reckoned, scope: Scope): TaxPart[] {
  const entries = scope.entries.filter((entry) => componentCovers(one.component, entry.kind));
  const cells = byTag(entries.map((entry) => entry.machine)).flatMap((machine) => {
    const ofMachine = entries.filter((entry) => entry.machine === machine);
    const groups = [...new Set(ofMachine.map((entry) => entry.group))].sort((left, right) => left - right);
    return groups.map((group) => ({ machine, group, weight: weightOf(scope.rule, ofMachine.filter((entry) => entry.group === group)) }));
  });
  const spread = (amountMinor: bigint, over: typeof cells) =>
    allocate(amountMinor, over.map((cell) => cell.weight)).map((part, index) => ({ machine: over[index]?.machine ?? '', group: over[index]?.group ?? 0, amountMinor: part }));
  if (one.own === undefined) return spread(one.amountMinor, cells);
  return [...one.own].flatMap(([machine, amountMinor]) => spread(amountMinor, cells.filter((cell) => cell.machine === machine)));
}

function weightOf(rule: TaxRule, entries: readonly Entry[]): Exact {
  return exact(positive(baseOf(rule, entries)));
}
