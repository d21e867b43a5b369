/** The settlement's own period for a statement: takings per machine, and from takings to shares pool by pool. */
import { localDate } from '#domain/calendar/local-date';
import { poolKeyOf } from '#domain/settlement/group-runs';
import type { Line, LineKind } from '#domain/settlement/lines';
import type { RateComponent, TaxRule } from '#domain/tax/types';
import type { Charge, PartyId, Terms } from '#domain/terms/types';
import type { ChargeLine, GuaranteeLine, MachineTakings, ShareLine, TaxLine, Waterfall } from '#statement/document';
import type { Mapping } from '#statement/settlement-mapping';
import { formatDecimal } from '#statement/words/format';

/** In the order of the machines' tags, as the settlement lists them. */
export function machineTakingsOf({ inputs, current, facts }: Mapping): MachineTakings[] {
  const sums = new Map<string, Map<LineKind, bigint>>();
  for (const { kind, about, amountMinor } of current.lines) {
    if (about.machineId === undefined || !MACHINE_KINDS.has(kind)) continue;
    const byKind = sums.get(about.machineId) ?? new Map<LineKind, bigint>();
    byKind.set(kind, (byKind.get(kind) ?? 0n) + amountMinor);
    sums.set(about.machineId, byKind);
  }
  return inputs.current.machines
    .filter(({ id }) => sums.has(id))
    .sort((left, right) => (left.tag < right.tag ? -1 : 1))
    .map(({ id, tag }) => {
      const of = (kind: LineKind): bigint => sums.get(id)?.get(kind) ?? 0n;
      const noteMinor = sumOf(inputs.current.counts.filter(({ machineId }) => machineId === id).map((count) => count.noteMinor));
      return {
        machineTag: tag,
        game: facts.games.get(id) ?? '',
        coinMinor: of('cash') - noteMinor,
        noteMinor,
        cashlessMinor: of('cashless'),
        tokenMinor: of('tokens'),
        adjustmentMinor: of('metered-difference') + of('break-in'),
        refundsMinor: of('refund'),
        netMinor: of('net-takings'),
      };
    });
}

const MACHINE_KINDS: ReadonlySet<LineKind> = new Set<LineKind>([
  'cash', 'metered-difference', 'tokens', 'cashless', 'break-in', 'refund', 'net-takings',
]);

/** A pool of machines under one version of the terms, with the lines that are about it. */
interface Pool {
  readonly group: number;
  readonly key: string;
  readonly terms: Terms;
  /** All lines of the group. */
  readonly groupLines: readonly Line[];
  /** Ids of the machines in the pool. */
  readonly machineIds: ReadonlySet<string>;
  readonly isOnlyPool: boolean;
}

export function waterfallsOf(mapping: Mapping): Waterfall[] {
  const { current, termsByGroup } = mapping;
  const openings = current.lines.filter(({ kind }) => kind === 'pool-opening');
  return openings.map(({ about }) => {
    const { group = 0, poolKey: key = '' } = about;
    const terms = termsByGroup.get(group)?.terms;
    if (terms === undefined) throw new Error(`the settlement has no terms for group ${group}`);
    const groupLines = current.lines.filter((line) => line.about.group === group);
    const machines = mapping.inputs.current.machines.filter((machine) => poolKeyOf(terms.grouping, machine) === key);
    const isOnlyPool = openings.filter((opening) => opening.about.group === group).length === 1;
    return waterfallOf(mapping, { group, key, terms, groupLines, machineIds: new Set(machines.map(({ id }) => id)), isOnlyPool }, openings.length);
  });
}

function waterfallOf(mapping: Mapping, pool: Pool, poolCount: number): Waterfall {
  const ofMachines = (kind: LineKind): bigint => sumOf(pool.groupLines.filter((line) => line.kind === kind && isInPool(pool, line)).map(amountOf));
  const ofPool = (kind: LineKind): Line[] => pool.groupLines.filter((line) => line.kind === kind && line.about.poolKey === pool.key);
  const isCut = mapping.current.lines.some(({ kind, about }) => kind === 'pool-opening' && about.group !== pool.group);
  const shares = ofPool('share').map((line): ShareLine => shareLine(mapping, pool.terms, line));
  return {
    ...(poolCount === 1 ? {} : { title: titleOf(mapping, pool) }),
    ...(isCut ? {} : { machineTags: tagsOf(mapping, pool) }),
    netTakingsMinor: ofMachines('net-takings'),
    lossBroughtForwardMinor: sumOf(ofPool('loss-in').map(amountOf)),
    taxes: taxLines(mapping, pool),
    charges: chargeLines(mapping, pool, ofPool('charge')),
    leftMinor: sumOf(shares.map(amountOf)),
    shares,
    lossCarriedForwardMinor: sumOf(ofPool('loss-out').map(amountOf)),
  };
}

function tagsOf({ inputs }: Mapping, pool: Pool): string[] {
  const counted = new Set(pool.groupLines.filter((line) => line.kind === 'net-takings' && isInPool(pool, line)).map(({ about }) => about.machineId));
  return inputs.current.machines.filter(({ id }) => counted.has(id)).map(({ tag }) => tag);
}

function isInPool({ machineIds }: Pool, { about }: Line): boolean {
  return about.machineId !== undefined && machineIds.has(about.machineId);
}

/** Which pool, and under which terms where there are several. */
function titleOf({ inputs, language, termsByGroup, date }: Mapping, { group, key, terms }: Pool): string {
  const { poolOfMachine, termsSince } = language.words.sharing;
  const [, name = ''] = /^[^:]*:(.*)$/.exec(key) ?? [];
  const tag = inputs.current.machines.find(({ id }) => id === name)?.tag ?? name;
  const pool = terms.grouping === 'site' ? [] : [terms.grouping === 'machine' ? poolOfMachine(tag) : name];
  const version = termsByGroup.get(group);
  return [...pool, ...(termsByGroup.size > 1 && version !== undefined ? [termsSince(date(version.startsOn))] : [])].join(', ');
}

/** A component's tax in one pool: all of it in the only pool, else what was allocated to the pool's machines. */
function taxLines(mapping: Mapping, pool: Pool): TaxLine[] {
  const components = pool.groupLines.filter(({ kind }) => kind === 'tax');
  return components.flatMap((component): TaxLine[] => {
    const parts = pool.groupLines.filter((line) => line.kind === 'tax-of-machine' && line.key.startsWith(`${component.key}/`) && isInPool(pool, line));
    if (!pool.isOnlyPool && parts.length === 0) return [];
    const amountMinor = pool.isOnlyPool ? component.amountMinor : sumOf(parts.map(amountOf));
    const detail = taxBasis(mapping, pool, component);
    return [{ label: component.about.title ?? '', ...(detail === undefined ? {} : { detail }), amountMinor }];
  });
}

/** Rate and base as they were applied; the base only where the whole of it is in this pool. */
function taxBasis({ inputs, current, language, amount }: Mapping, pool: Pool, { about }: Line): string | undefined {
  const rule = inputs.current.taxRules.find(({ id }) => id === about.taxRuleId);
  if (rule === undefined) return undefined;
  const { taxBasis: words } = language.words;
  const baseOf = (kind: 'tax-base' | 'tax-taxable'): string | undefined => {
    const line = current.lines.find((candidate) => candidate.kind === kind && candidate.about.taxRuleId === rule.id);
    const isWholePeriod = pool.isOnlyPool && new Set(current.lines.map((candidate) => candidate.about.group ?? pool.group)).size === 1;
    return line !== undefined && isWholePeriod ? amount(line.amountMinor) : undefined;
  };
  if (rule.method === 'fixed') {
    const component = rule.components.find(({ id }) => id === about.taxComponentId);
    return component === undefined ? undefined : words.fixed({ amount: amount(component.amountMinor), per: rule.per });
  }
  const component = rateComponent(rule, about.taxComponentId);
  if (component === undefined) return undefined;
  const percent = formatDecimal(component.ratePercent, language.conventions);
  if (rule.capPerMachineMonthMinor !== null) return words.capped({ percent, cap: amount(rule.capPerMachineMonthMinor) });
  // A component of only some kinds of machines has a base of its own, which is no line.
  const hasOwnBase = 'machineKinds' in component && component.machineKinds !== 'all';
  return rule.method === 'inside'
    ? words.inside({ percent, taxable: baseOf('tax-taxable') })
    : words.onTakings({ percent, base: hasOwnBase ? undefined : baseOf('tax-base') });
}

function rateComponent(rule: Exclude<TaxRule, { method: 'fixed' }>, componentId: string | undefined): RateComponent | undefined {
  const components: readonly RateComponent[] = rule.components;
  return components.find(({ id }) => id === componentId);
}

/** One line for each charge and each rest of one, whatever it was taken from. */
function chargeLines(mapping: Mapping, pool: Pool, lines: readonly Line[]): ChargeLine[] {
  const merged = new Map<string, ChargeLine>();
  for (const { about, amountMinor } of lines) {
    const key = JSON.stringify([about.chargeId, about.party, about.since]);
    const before = merged.get(key);
    if (before !== undefined) {
      merged.set(key, { ...before, amountMinor: before.amountMinor + amountMinor });
      continue;
    }
    const detail = chargeBasis(mapping, pool.terms, about);
    merged.set(key, { label: about.title ?? '', party: mapping.partyName(about.party ?? ''), ...(detail === undefined ? {} : { detail }), amountMinor });
  }
  return [...merged.values()];
}

function chargeBasis({ language, amount, date }: Mapping, terms: Terms, about: Line['about']): string | undefined {
  const { words, conventions } = language;
  if (about.since !== undefined) return words.chargeRestSince(date(localDate(about.since)));
  const charge: Charge | undefined = terms.charges.find(({ id }) => id === about.chargeId);
  if (charge === undefined) return undefined;
  const { phrases } = words.termsCatalogue;
  return charge.amount.kind === 'amount'
    ? `${amount(charge.amount.amountMinor)} ${phrases[`per-${charge.amount.per}`]}`
    : `${words.sharing.percent(formatDecimal(charge.amount.percent, conventions))} ${phrases[`of-${charge.amount.of}`]}`;
}

function shareLine({ facts, partyName }: Mapping, { split }: Terms, { about, amountMinor }: Line): ShareLine {
  const party: PartyId = about.party ?? '';
  const percent = split.kind === 'shares' ? split.shares.find((share) => share.party === party)?.percent : undefined;
  return { party: partyName(party), ...(percent === undefined ? {} : { percent }), amountMinor, isPayee: party === facts.payee.partyId };
}

/** One for each guarantee or cap that acted. */
export function guaranteesOf(mapping: Mapping): GuaranteeLine[] {
  const { current, facts, partyName } = mapping;
  const acted = new Map<string, Line[]>();
  for (const line of current.lines) {
    if (line.kind !== 'guarantee') continue;
    // The key without its last part, the party, names the guarantee.
    const key = line.key.slice(0, line.key.lastIndexOf('/'));
    acted.set(key, [...(acted.get(key) ?? []), line]);
  }
  return [...acted.values()].map((lines) => ({
    label: guaranteeLabel(mapping, lines[0]?.about.guaranteeId ?? ''),
    moves: lines.map(({ about, amountMinor }) => ({ party: partyName(about.party ?? ''), amountMinor, isPayee: about.party === facts.payee.partyId })),
  }));
}

function guaranteeLabel({ termsByGroup, language, partyName, amount }: Mapping, guaranteeId: string): string {
  const guarantee = [...termsByGroup.values()].flatMap(({ terms }) => terms.guarantees).findLast(({ id }) => id === guaranteeId);
  if (guarantee === undefined) throw new Error(`the terms have no guarantee ${guaranteeId}`);
  const { sharing, termsCatalogue } = language.words;
  const about = { party: partyName(guarantee.party), amount: amount(guarantee.amountMinor), per: termsCatalogue.phrases[`per-${guarantee.per}`] };
  return guarantee.kind === 'at-least' ? sharing.guaranteeAtLeast(about) : sharing.guaranteeAtMost(about);
}

function amountOf({ amountMinor }: { readonly amountMinor: bigint }): bigint {
  return amountMinor;
}

function sumOf(amounts: readonly bigint[]): bigint {
  return amounts.reduce((sum, amount) => sum + amount, 0n);
}
