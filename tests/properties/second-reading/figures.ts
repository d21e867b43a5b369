// Both readings' figures under common names, so that they can be laid side by side and taken from each other.
import type { Line } from '#domain/settlement/lines';
import type { PeriodCarries, SettlementInputs, SettlementResult } from '#domain/settlement/types';
import { dayOf, isoDateOf } from './calendar';
import type { Payable } from './payables';
import type { PeriodSettlement } from './settle';
import type { Carry } from './terms';

export type Figures = Map<string, bigint>;

function add(figures: Figures, name: (string | number | undefined)[], amountMinor: bigint): void {
  const key = name.filter((word) => word !== undefined && word !== '').join(' ');
  const total = (figures.get(key) ?? 0n) + amountMinor;
  if (total === 0n) figures.delete(key);
  else figures.set(key, total);
}

export function minus(now: Figures, before: Figures): Figures {
  const difference: Figures = new Map(now);
  for (const [key, amountMinor] of before) add(difference, [key], -amountMinor);
  return difference;
}

export function sumOf(blocks: readonly Figures[]): Figures {
  const total: Figures = new Map();
  for (const block of blocks) for (const [key, amountMinor] of block) add(total, [key], amountMinor);
  return total;
}

/** In a fixed order, so that a difference reads well. */
export function listed(figures: Figures): string[] {
  return [...figures].map(([key, amountMinor]) => `${key}: ${amountMinor}`).sort();
}

const takings = new Set(['cash', 'metered-difference', 'tokens', 'cashless', 'break-in']);

export function figuresOfEngine(lines: readonly Line[], inputs: SettlementInputs): Figures {
  const figures: Figures = new Map();
  const tags = new Map([...inputs.earlier.map((one) => one.inputs), inputs.current].flatMap((period) => period.machines.map((machine) => [machine.id, machine.tag])));
  const poolOf = (key: string | undefined) => (key?.startsWith('machine:') === true ? `machine:${tags.get(key.slice('machine:'.length)) ?? '?'}` : key);
  for (const { kind, about, amountMinor } of lines) {
    const [machine, group, pool] = [tags.get(about.machineId ?? ''), about.group, poolOf(about.poolKey)];
    if (takings.has(kind)) add(figures, ['takings', group, machine], amountMinor);
    else if (kind === 'refund') add(figures, ['refunds', group, machine], amountMinor);
    else if (kind === 'net-takings') add(figures, ['net takings', group, machine], amountMinor);
    else if (kind === 'tax' || kind === 'operator-tax') add(figures, [kind, about.taxRuleId, about.taxComponentId, about.filedBy], amountMinor);
    else if (kind === 'tax-of-machine') add(figures, ['tax of machine', about.taxRuleId, about.taxComponentId, machine], amountMinor);
    else if (kind === 'loss-in') add(figures, ['loss in', group, pool], amountMinor);
    else if (kind === 'pool-opening') add(figures, ['pool opening', group, pool], amountMinor);
    else if (kind === 'charge') add(figures, ['charge', group, pool, about.chargeId, about.since], amountMinor);
    else if (kind === 'charge-rest' && about.becomes === 'lapsed') add(figures, ['lapsed', about.chargeId], amountMinor);
    else if (kind === 'pool-left') add(figures, ['pool left', group, pool], amountMinor);
    else if (kind === 'share') add(figures, ['share', group, pool, about.party], amountMinor);
    else if (kind === 'loss-out') add(figures, ['loss out', group, pool], amountMinor);
    else if (kind === 'guarantee') add(figures, ['guarantee', pool, about.party], amountMinor);
  }
  return figures;
}

export function figuresOfSecond(period: PeriodSettlement): Figures {
  const figures: Figures = new Map();
  const numberOf = (group: number) => period.groupNumbers.get(group);
  for (const one of period.machines) {
    add(figures, ['takings', numberOf(one.group), one.machine], one.takingsMinor);
    add(figures, ['refunds', numberOf(one.group), one.machine], one.refundsMinor);
    add(figures, ['net takings', numberOf(one.group), one.machine], one.netMinor);
  }
  for (const line of period.taxLines) {
    add(figures, [line.borneBy === 'all' ? 'tax' : 'operator-tax', line.row, line.component, line.filedBy], line.amountMinor);
    for (const part of line.parts) add(figures, ['tax of machine', line.row, line.component, part.machine], part.amountMinor);
  }
  for (const pool of period.pools.filter((one) => one.busy || one.lossInMinor < 0n)) {
    const group = numberOf(pool.group);
    add(figures, ['loss in', group, pool.pool], pool.lossInMinor);
    add(figures, ['pool opening', group, pool.pool], pool.netMinor - pool.taxMinor + pool.lossInMinor);
    add(figures, ['pool left', group, pool.pool], pool.leftMinor);
    for (const [party, share] of pool.shares) add(figures, ['share', group, pool.pool, party], share);
    add(figures, ['loss out', group, pool.pool], pool.lossOutMinor);
  }
  for (const taken of period.taken) add(figures, ['charge', numberOf(taken.group), taken.pool, taken.charge, taken.since === undefined ? '' : isoDateOf(taken.since)], taken.amountMinor);
  for (const lapsed of period.lapsed) add(figures, ['lapsed', lapsed.charge], lapsed.amountMinor);
  for (const move of period.moves) for (const [party, change] of move.changes) add(figures, ['guarantee', move.pool, party], change);
  return figures;
}

export function carriesOfEngine(carries: PeriodCarries, tags: ReadonlyMap<string, string>): Figures {
  const figures: Figures = new Map();
  const tagOf = (id: string) => tags.get(id) ?? id;
  const poolOf = (key: string) => (key.startsWith('machine:') ? `machine:${tagOf(key.slice('machine:'.length))}` : key);
  for (const loss of carries.losses) add(figures, ['loss', poolOf(loss.poolKey)], loss.amountMinor);
  for (const rest of carries.chargeRests) {
    const unit = rest.scope === 'agreement' ? '' : rest.scope === 'pool' ? poolOf(rest.poolKey ?? '') : tagOf(rest.machineIds[0] ?? '');
    add(figures, ['rest', rest.chargeId, rest.to, rest.since, rest.scope, unit], rest.amountMinor);
  }
  for (const tax of carries.negativeTaxes) add(figures, ['negative tax', tax.taxId], tax.amountMinor);
  for (const { machineId, ranges } of carries.coveredDays) {
    for (const range of ranges) for (let day = dayOf(range.from); day < dayOf(range.until); day += 1) add(figures, ['covered', tagOf(machineId), isoDateOf(day)], 1n);
  }
  return figures;
}

export function carriesOfSecond(carry: Carry): Figures {
  const figures: Figures = new Map();
  for (const loss of carry.losses) add(figures, ['loss', loss.pool], loss.amountMinor);
  for (const rest of carry.rests) add(figures, ['rest', rest.charge, rest.to, isoDateOf(rest.since), rest.scope, rest.unit], rest.amountMinor);
  for (const [tax, amountMinor] of carry.negativeTax) add(figures, ['negative tax', tax], amountMinor);
  for (const { machine, days } of carry.chargedDays) for (const day of days) add(figures, ['covered', machine, isoDateOf(day)], 1n);
  return figures;
}

export function payablesOfEngine({ payables }: SettlementResult): Figures {
  const figures: Figures = new Map();
  for (const one of payables) {
    add(figures, [one.party, 'share'], one.sharesMinor);
    add(figures, [one.party, 'charges'], one.chargesMinor);
    add(figures, [one.party, 'refunds paid'], one.refundsPaidMinor);
    add(figures, [one.party, 'tax filed'], one.taxFiledMinor);
    add(figures, [one.party, 'break-ins'], one.breakInsMinor);
    add(figures, [one.party, 'cash held'], one.handedCashMinor);
    add(figures, [one.party, 'carried in'], one.carriedInMinor);
    for (const advance of one.advances) add(figures, [one.party, 'repaid', advance.advanceId], advance.repaidMinor);
    add(figures, [one.party, 'payable', one.outcome], one.amountMinor);
    add(figures, [one.party, 'in coins'], one.cashPayment?.payMinor ?? 0n);
  }
  return figures;
}

export function payablesOfSecond(payables: readonly Payable[]): Figures {
  const figures: Figures = new Map();
  for (const one of payables) {
    add(figures, [one.party, 'share'], one.shareMinor);
    add(figures, [one.party, 'charges'], one.chargesMinor);
    add(figures, [one.party, 'refunds paid'], one.refundsPaidMinor);
    add(figures, [one.party, 'tax filed'], one.taxFiledMinor);
    add(figures, [one.party, 'break-ins'], -one.breakInsBorneMinor);
    add(figures, [one.party, 'cash held'], one.cashHeldMinor);
    add(figures, [one.party, 'carried in'], one.carriedItemsMinor);
    for (const [advance, repaidMinor] of one.repaid) add(figures, [one.party, 'repaid', advance], repaidMinor);
    add(figures, [one.party, 'payable', one.outcome], one.payableMinor);
    add(figures, [one.party, 'in coins'], one.inCoinsMinor ?? 0n);
  }
  return figures;
}
