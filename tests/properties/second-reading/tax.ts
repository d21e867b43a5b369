// Tax: each dated row of a rule on the net takings of the machines it covers, rounded only where a return would be.
import { type Day, scaledByDays } from './calendar';
import { fixedTax, fallsDue } from './fixed-tax';
import { type Exact, allocate, exact, positive, round, smallest, sum, sumExact } from './numbers';
import { coveredBy } from './scopes';
import { type Entry, byTag, groupOf, netOf } from './takings';
import type { PeriodInput, TaxComponent, TaxRule } from './terms';

export interface TaxPart {
  machine: string;
  group: number;
  amountMinor: bigint;
}

export interface TaxLine {
  rule: string;
  row: string;
  group: number;
  component: string;
  amountMinor: bigint;
  filedBy: 'operator' | 'site';
  borneBy: 'all' | 'operator';
  /** From whose takings it comes. */
  parts: readonly TaxPart[];
  /** Whether a cap, a negative tax from before or the floor of zero made it another amount than the method gives. */
  because: Reckoned['because'];
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
  input: PeriodInput;
  firstGroup: (machine: string) => number;
}

/** One component's tax; `own` when the tax is reckoned machine by machine. */
interface Reckoned {
  component: TaxComponent;
  amountMinor: bigint;
  own?: Map<string, bigint>;
  because?: 'capped' | 'set-against-carried' | 'not-below-zero';
}

/** All tax of one settlement. Rows of one rule run in order of their dates, so that a negative tax meets the next row first. */
export function taxOf(input: PeriodInput, entries: readonly Entry[]): TaxResult {
  const negativeTax = new Map(input.carriedIn.negativeTax);
  const lines: TaxLine[] = [];
  const firstOf = (some: readonly Entry[]) => (some.length === 0 ? undefined : Math.min(...some.map((entry) => entry.group)));
  // Where a machine that took nothing under a rule owes its tax: in the first group in which it took anything, else in the period's first.
  const firstGroup = (machine: string) => firstOf(entries.filter((entry) => entry.machine === machine)) ?? firstOf(entries) ?? groupOf(input.versions, input.period.until - 1);
  for (const rule of [...input.taxRules].sort((left, right) => left.from - right.from)) {
    const applies = (row: { date: Day; machine: string }) => rule.from <= row.date && row.date < rule.until && covers(rule, kindOf(row.machine));
    const kindOf = (tag: string) => input.machines.find((machine) => machine.tag === tag)?.kind ?? '';
    const covered = entries.filter(applies);
    const counts = input.counts.filter(applies);
    const owing = input.machines.filter((machine) => covers(rule, machine.kind) && fallsDue(rule, machine, input.period));
    const machines = byTag([...covered, ...owing.map((machine) => ({ machine: machine.tag }))].map((one) => one.machine));
    if (machines.length === 0) continue;
    const scope: Scope = { rule, firstGroup, entries: covered, machines, daysOf: (machine: string) => coveredBy(counts.filter((count) => count.machine === machine)), input };
    const reckoned = reckon(scope);
    const settled = setAgainst(reckoned, { carriedMinor: negativeTax.get(rule.name) ?? 0n, carries: rule.carryNegative });
    negativeTax.set(rule.name, settled.carriedMinor);
    for (const one of settled.components) lines.push(...linesOf(one, scope));
  }
  return { lines, negativeTax };
}

/** One line per group, because an agreement's version may settle who files and who bears. */
function linesOf(one: Reckoned, scope: Scope): TaxLine[] {
  const { rule } = scope;
  const parts = partsOf(one, scope);
  return [...new Set(parts.map((part) => part.group))].map((group) => {
    const version = scope.input.versions[group];
    const own = parts.filter((part) => part.group === group);
    const handling = { filedBy: version?.filedBy ?? rule.filedBy, borneBy: version?.borneBy ?? rule.borneBy };
    const amountMinor = sum(own.map((part) => part.amountMinor));
    return { rule: rule.name, row: rule.row, group, component: one.component.name, amountMinor, ...handling, parts: own, because: one.because };
  });
}

function covers(rule: TaxRule, kind: string): boolean {
  return rule.kinds === 'all' || rule.kinds.includes(kind);
}

function componentCovers(component: TaxComponent, kind: string): boolean {
  return component.kinds === undefined || component.kinds.includes(kind);
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
  if (tax.method === 'fixed') return tax.components.map((component) => ofMachines({ name: component.name, rate: '1' }, fixedTax({ ...scope, tax, component })));
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

/** With a cap every machine's tax is its own: not above the cap for its days, not below zero, then divided by the rates. */
function reckonCapped(scope: Scope, components: readonly TaxComponent[], capMinor: bigint): Reckoned[] {
  const owns = components.map(() => new Map<string, bigint>());
  let capped = false;
  for (const machine of scope.machines) {
    const entries = scope.entries.filter((entry) => entry.machine === machine);
    const baseMinor = baseOf(scope.rule, entries);
    const applying = components.filter((component) => componentCovers(component, entries[0]?.kind ?? ''));
    const rates = applying.map((component) => exact(component.rate));
    const uncapped = scope.rule.tax.method === 'inside' ? insideTax(baseMinor, applying).taxMinor : takingsTax(scope.rule.tax, baseMinor, rates);
    const taxMinor = positive(smallest([uncapped, round(scaledByDays(capMinor, 'month', scope.daysOf(machine)))]));
    capped ||= taxMinor < uncapped;
    allocate(taxMinor, rates).forEach((part, index) => {
      const place = components.findIndex((component) => component === applying[index]);
      owns[place]?.set(machine, part);
    });
  }
  const because = capped ? { because: 'capped' as const } : {};
  return components.map((component, index) => ({ ...ofMachines(component, owns[index] ?? new Map<string, bigint>()), ...because }));
}

function takingsTax(tax: TaxRule['tax'], baseMinor: bigint, rates: readonly Exact[]): bigint {
  const taxes = rates.map((rate) => exact(baseMinor).mul(rate));
  return tax.method === 'on-takings' && tax.together ? round(sumExact(taxes)) : sum(taxes.map(round));
}

function ofMachines(component: TaxComponent, own: Map<string, bigint>): Reckoned {
  return { component, own, amountMinor: sum([...own.values()]) };
}

/** A negative tax is no tax; a row that carries it sets it against the tax's next row or period, one that does not lets it wait. */
function setAgainst(reckoned: readonly Reckoned[], carry: { carriedMinor: bigint; carries: boolean }): { components: readonly Reckoned[]; carriedMinor: bigint } {
  const ownMinor = sum(reckoned.map((one) => one.amountMinor));
  const appliedMinor = carry.carries ? carry.carriedMinor : 0n;
  const netMinor = ownMinor + appliedMinor;
  if (netMinor < 0n) {
    const components = reckoned.map(({ component }) => ({ component, amountMinor: 0n, because: 'not-below-zero' as const }));
    return { components, carriedMinor: carry.carries ? netMinor : carry.carriedMinor };
  }
  if (appliedMinor === 0n) return { components: reckoned, carriedMinor: carry.carriedMinor };
  const lowered = allocate(netMinor, reckoned.map((one) => exact(positive(one.amountMinor))));
  // What machines had of their own is lowered in proportion, so that it still adds up.
  const because = 'set-against-carried' as const;
  return { components: reckoned.map(({ component, own }, index) => ({ component, amountMinor: lowered[index] ?? 0n, ...lowerOwn(own, lowered[index] ?? 0n), because })), carriedMinor: 0n };
}

function lowerOwn(own: Map<string, bigint> | undefined, amountMinor: bigint): { own?: Map<string, bigint> } {
  if (own === undefined) return {};
  const parts = allocate(amountMinor, [...own.values()].map(exact));
  return { own: new Map([...own.keys()].map((machine, index) => [machine, parts[index] ?? 0n])) };
}

/** A component goes to machines by positive net takings, then each machine's part to its groups by the machine's positive net takings there. */
function partsOf(one: Reckoned, scope: Scope): TaxPart[] {
  const entries = scope.entries.filter((entry) => componentCovers(one.component, entry.kind));
  const tags = byTag(entries.map((entry) => entry.machine));
  const entriesOf = (tag: string) => entries.filter((entry) => entry.machine === tag);
  const byMachine = one.own ?? spread(one.amountMinor, tags, (tag) => weightOf(entriesOf(tag)));
  return [...byMachine].flatMap(([machine, amountMinor]) => {
    const groups = [...new Set(entriesOf(machine).map((entry) => entry.group))].sort((left, right) => left - right);
    if (groups.length === 0) return [{ machine, group: scope.firstGroup(machine), amountMinor }];
    const parts = spread(amountMinor, groups, (group) => weightOf(entriesOf(machine).filter((entry) => entry.group === group)));
    return [...parts].map(([group, part]) => ({ machine, group, amountMinor: part }));
  });
}

function spread<Key>(amountMinor: bigint, keys: readonly Key[], weight: (key: Key) => Exact): Map<Key, bigint> {
  const parts = keys.length === 0 ? [] : allocate(amountMinor, keys.map(weight));
  return new Map(keys.map((key, index) => [key, parts[index] ?? 0n]));
}

function weightOf(entries: readonly Entry[]): Exact {
  return exact(positive(netOf(entries)));
}
