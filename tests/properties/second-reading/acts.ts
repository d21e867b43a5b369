// Which rules changed a figure in a timeline. Random cases prove little about a rule that never acts in them.
import type { SecondBlock, SecondSettlement } from './chain';
import { exact, positive, sum } from './numbers';
import { byWeights, flat, lowestList } from './split';
import { withoutRepeats } from './takings';
import type { TaxRule, Version } from './terms';
import type { Timeline } from './timeline';

const units = ['week', 'month', 'year', 'period', 'visit', 'machine-week', 'machine-month', 'net', 'cashless', 'left'];
const scopes = ['agreement', 'pool', 'machine'];

/** Everything that must act often enough. */
export const allActs: readonly string[] = [
  ...['metered basis', 'tokens', 'cashless', 'break-in borne by one party', 'break-in borne by all on metered takings', 'refund slip', 'negative net takings of a machine'].map((act) => `takings: ${act}`),
  ...['inside', 'on takings apart', 'on takings together', 'fixed by days', 'fixed when due', 'component of some kinds', 'break-in in base', 'capped', 'set-against-carried', 'not-below-zero', 'negative carried on'].map((act) => `tax: ${act}`),
  ...['filed by the site', 'borne by the operator', 'two rows in one period', 'over two groups'].map((act) => `tax: ${act}`),
  ...units.map((unit) => `charge: ${unit}`),
  ...scopes.map((scope) => `charge scope: ${scope}`),
  ...['over several pools', 'more than what is left', 'rest lapses', 'rest carried', 'rest taken by the next group', 'rest taken by a later settlement', 'days settled before'].map((act) => `charge: ${act}`),
  ...['two groups', 'the same terms signed again', 'pools formed anew'].map((act) => `groups: ${act}`),
  ...['shares', 'loss carried out', 'loss carried in', 'loss moved to other pools', 'loss shared'].map((act) => `split: ${act}`),
  ...['marginal', 'whole'].flatMap((mode) => ['agreement', 'pool'].map((scope) => `split: ${mode} bands of the ${scope}`)),
  ...['period', 'week', 'month'].map((per) => `split: thresholds per ${per}`),
  ...['at-least from others', 'at-least from operator', 'at-most', 'others cannot give enough', 'of two groups'].map((act) => `guarantee: ${act}`),
  ...scopes.map((scope) => `guarantee scope: ${scope}`),
  ...['due', 'carried', 'owed'].map((outcome) => `payout: ${outcome}`),
  ...['advance by amount', 'advance by percentage', 'advance limited by the share', 'carried item', 'cash held', 'rounded to coins', 'final'].map((act) => `payout: ${act}`),
  ...['highest-site-share', 'no-advances'].map((limit) => `law: ${limit}`),
  ...['late change', 'late change of carries'].map((act) => `difference: ${act}`),
];

export function actsOf(timeline: Timeline, settlements: readonly SecondSettlement[]): Set<string> {
  const acts = new Set<string>();
  const act = (name: string, acted: boolean) => (acted ? acts.add(name) : acts);
  settlements.forEach((settlement, index) => {
    for (const block of settlement.blocks) actsOfBlock(block, act);
    const differences = settlement.blocks.slice(0, -1).filter((block) => block.figures.size > 0);
    act('difference: late change', differences.length > 0);
    // A later period that only changes because of what an earlier one hands on.
    act('difference: late change of carries', differences.some((block, place) => place > 0 && ![...block.figures.keys()].some((key) => key.startsWith('takings') || key.startsWith('refunds'))));
    for (const payable of settlement.payables) {
      act(`payout: ${payable.outcome}`, true);
      act('payout: carried item', payable.carriedItemsMinor !== 0n);
      act('payout: cash held', payable.cashHeldMinor !== 0n);
      act('payout: rounded to coins', payable.inCoinsMinor !== null && payable.inCoinsMinor !== payable.payableMinor);
      act('payout: advance limited by the share', payable.advanceRepaidMinor > 0n && payable.advanceRepaidMinor === payable.shareMinor);
    }
    for (const limit of settlement.broken) act(`law: ${limit}`, true);
    act('payout: final', index === timeline.periods.length && timeline.after !== 'regular');
    const recoup = withoutRepeats(settlement.blocks.at(-1)?.input.versions ?? []).at(-1);
    const kinds = timeline.versions.filter((version) => version.id === recoup?.name).map((version) => version.terms.advances.kind);
    for (const kind of kinds) act(`payout: advance by ${kind === 'fixed' ? 'amount' : 'percentage'}`, settlement.payables.some((payable) => payable.advanceRepaidMinor > 0n));
  });
  return acts;
}

type Act = (name: string, acted: boolean) => void;

function actsOfBlock(block: SecondBlock, act: Act): void {
  const { input, settled } = block;
  const versions = withoutRepeats(input.versions);
  const groups = [...new Set(settled.pools.map((pool) => pool.group))];
  act('groups: two groups', groups.length > 1);
  act('groups: the same terms signed again', versions.length < input.versions.length);
  act('groups: pools formed anew', groups.length > 1 && new Set(groups.map((group) => versions[group]?.grouping)).size > 1);
  actsOfTakings(block, act);
  actsOfTax(block, act);
  for (const group of groups) actsOfGroup(block, group, versions[group], act);
  for (const move of settled.moves) {
    act(`guarantee: ${move.terms.kind === 'at-most' ? 'at-most' : `at-least from ${move.terms.from}`}`, true);
    act(`guarantee scope: ${move.terms.scope}`, true);
    act('guarantee: of two groups', move.groups > 1);
    act('guarantee: others cannot give enough', move.terms.kind === 'at-least' && move.terms.from === 'others' && move.pool === '' && (settled.shares.get(move.terms.party) ?? 0n) < move.amountMinor);
  }
}

function actsOfTakings({ input, settled }: SecondBlock, act: Act): void {
  const versionOn = (date: number) => withoutRepeats(input.versions).findLast((version) => version.from <= date);
  act('takings: metered basis', input.counts.some((count) => count.meteredMinor !== count.countedMinor && versionOn(count.date)?.basis === 'metered'));
  act('takings: tokens', input.counts.some((count) => count.tokensMinor > 0n));
  act('takings: cashless', input.cashless.some((read) => read.amountMinor !== 0n));
  act('takings: break-in borne by one party', input.breakIns.some((theft) => versionOn(theft.date)?.breakInBorneBy !== undefined));
  act('takings: break-in borne by all on metered takings', input.breakIns.some((theft) => versionOn(theft.date)?.breakInBorneBy === undefined && versionOn(theft.date)?.basis === 'metered'));
  act('takings: refund slip', input.refunds.some((slip) => slip.amountMinor > 0n));
  act('takings: negative net takings of a machine', settled.machines.some((machine) => machine.netMinor < 0n));
}

function actsOfTax({ input, settled }: SecondBlock, act: Act): void {
  const rows = new Map(input.taxRules.map((rule) => [rule.row, rule]));
  const lines = settled.taxLines.filter((line) => line.amountMinor !== 0n || line.because === 'not-below-zero');
  for (const line of lines) {
    const rule = rows.get(line.row);
    if (rule === undefined) continue;
    if (line.amountMinor !== 0n) act(`tax: ${methodOf(rule)}`, true);
    if (line.because !== undefined) act(`tax: ${line.because}`, true);
    act('tax: component of some kinds', rule.tax.method === 'on-takings' && rule.tax.components.some((one) => one.name === line.component && one.kinds !== undefined && rule.kinds === 'all'));
    act('tax: break-in in base', rule.includesBreakIns && rule.tax.method !== 'fixed' && input.breakIns.some((theft) => line.parts.some((part) => part.machine === theft.machine)));
    act('tax: filed by the site', line.filedBy === 'site' && line.amountMinor !== 0n);
    act('tax: borne by the operator', line.borneBy === 'operator' && line.amountMinor !== 0n);
    act('tax: two rows in one period', lines.some((other) => other.rule === line.rule && other.row !== line.row));
    act('tax: over two groups', lines.some((other) => other.row === line.row && other.component === line.component && other.group !== line.group));
  }
  act('tax: negative carried on', [...settled.carriedOut.negativeTax.values()].some((amountMinor) => amountMinor < 0n));
}

function methodOf({ tax }: TaxRule): string {
  switch (tax.method) {
    case 'inside':
      return 'inside';
    case 'on-takings':
      return tax.together ? 'on takings together' : 'on takings apart';
    case 'fixed':
      return tax.due === 'by-days' ? 'fixed by days' : 'fixed when due';
  }
}

function actsOfGroup({ input, settled }: SecondBlock, group: number, version: Version | undefined, act: Act): void {
  if (version === undefined) return;
  const taken = settled.taken.filter((one) => one.group === group);
  for (const charge of version.charges) {
    const own = taken.filter((one) => one.charge === charge.name && one.since === undefined);
    if (own.length === 0) continue;
    act(`charge: ${'per' in charge.what ? charge.what.per : charge.what.of}`, true);
    act(`charge scope: ${charge.scope}`, true);
    act('charge: over several pools', charge.scope === 'agreement' && own.length > 1);
    const settledBefore = new Set(input.carriedIn.chargedDays.flatMap((one) => one.days));
    const byDays = charge.scope !== 'machine' && 'per' in charge.what && ['week', 'month', 'year'].includes(charge.what.per);
    act('charge: days settled before', byDays && input.counts.some((count) => settledBefore.has(count.coveredFrom)));
  }
  act('charge: rest lapses', settled.lapsed.length > 0);
  act('charge: rest carried', settled.carriedOut.rests.length > 0);
  act('charge: more than what is left', settled.lapsed.length + settled.carriedOut.rests.length > 0 && taken.length > 0);
  act('charge: rest taken by the next group', taken.some((one) => one.since === input.period.from));
  act('charge: rest taken by a later settlement', taken.some((one) => one.since !== undefined && one.since < input.period.from));
  const losses = new Set(input.carriedIn.losses.map((loss) => loss.pool));
  for (const pool of settled.pools.filter((one) => one.group === group)) {
    act('split: loss carried in', pool.lossInMinor < 0n);
    act('split: loss moved to other pools', pool.lossInMinor < 0n && !losses.has(pool.pool));
    act('split: loss carried out', pool.lossOutMinor < 0n);
    act('split: loss shared', pool.leftMinor < 0n && sum([...pool.shares.values()]) < 0n);
    actsOfSplit(version, pool, act);
  }
}

/** Bands act where the parties get something else than the lowest list would give them. */
function actsOfSplit({ split }: Version, pool: { leftMinor: bigint; shares: ReadonlyMap<string, bigint> }, act: Act): void {
  if (positive(pool.leftMinor) === 0n) return;
  act('split: shares', split.method === 'shares');
  if (split.method === 'shares') return;
  const lowest = byWeights(pool.leftMinor, flat(exact(1n), lowestList(split)));
  const differs = [...pool.shares].some(([party, share]) => share !== (lowest.get(party) ?? 0n));
  act(`split: ${split.mode} bands of the ${split.scope}`, differs);
  act(`split: thresholds per ${split.per}`, differs);
}
