/**
 * Step 6: guarantees and caps, tested once per settlement over the shares of all groups, in the agreement's order. They
 * only move money between shares, so their lines sum to zero.
 */
import { allocate } from '#domain/money/allocation';
import { addRationals, type Rational } from '#domain/money/rational';
import { roundHalfUp } from '#domain/money/rounding';
import type { Guarantee, PartyId } from '#domain/terms/types';
import { scaledAmount } from '#domain/settlement/charge-amounts';
import { agreementExtent, machineExtent, poolExtents, poolKeyOf, type Extent, type GroupRun } from '#domain/settlement/group-runs';
import { linesRef, writeLine, type LineSink } from '#domain/settlement/line-sink';
import type { RuleRef } from '#domain/settlement/lines';

/** A guarantee as it stands for this settlement: the groups' amounts for the same party and kind add up. */
interface Standing {
  readonly guarantee: Guarantee;
  readonly operator: PartyId;
  /** In the order of the agreement. */
  readonly parties: readonly PartyId[];
  readonly rule: RuleRef;
  /** null: the whole agreement. */
  readonly poolKey: string | null;
  /** 1, or 2 for the second that an agreement gives the party of this kind for this pool. */
  readonly times: number;
  readonly exact: Rational;
  readonly amountMinor: bigint;
}

export function applyGuarantees(sink: LineSink, runs: readonly GroupRun[]): void {
  const standing = standingGuarantees(runs);
  if (standing.length === 0) return;
  const shares = sharesByPool(sink);
  for (const each of standing) applyOne(sink, shares, each);
}

/** Shares by pool and party as they are at this moment, with what guarantees have moved under null. */
type Shares = Map<string | null, Map<PartyId, bigint>>;

function sharesByPool(sink: LineSink): Shares {
  const shares: Shares = new Map([[null, new Map<PartyId, bigint>()]]);
  for (const { kind, about, amountMinor } of sink.lines) {
    if (kind !== 'share' || about.party === undefined || about.poolKey === undefined) continue;
    addTo(shares, about.poolKey, about.party, amountMinor);
    addTo(shares, null, about.party, amountMinor);
  }
  return shares;
}

function addTo(shares: Shares, poolKey: string | null, party: PartyId, amountMinor: bigint): void {
  const byParty = shares.get(poolKey) ?? new Map<PartyId, bigint>();
  byParty.set(party, (byParty.get(party) ?? 0n) + amountMinor);
  shares.set(poolKey, byParty);
}

function standingGuarantees(runs: readonly GroupRun[]): Standing[] {
  const standing = new Map<string, Standing>();
  runs.forEach((run, position) => {
    const seen = new Map<string, number>();
    run.group.terms.guarantees.forEach((guarantee, index) => {
      for (const { poolKey, extents } of extentsOf(guarantee, runs, run)) {
        const exact = scaledAmount({ amountMinor: guarantee.amountMinor, per: guarantee.per, extents, position });
        if (exact === undefined) continue;
        const same = JSON.stringify([guarantee.kind, guarantee.party, poolKey]);
        const times = (seen.get(same) ?? 0) + 1;
        seen.set(same, times);
        // Only amounts of several groups add up: one agreement that says two things of one pool means both, one after the other.
        const key = `${same} ${times}`;
        const before = standing.get(key);
        standing.set(key, {
          guarantee,
          operator: run.group.operator,
          parties: run.group.terms.parties.map((party) => party.id),
          rule: { of: 'terms', versionId: run.group.versionId, pointer: `/guarantees/${index}` },
          poolKey,
          times,
          exact: before === undefined ? exact : addRationals(before.exact, exact),
          amountMinor: (before?.amountMinor ?? 0n) + roundHalfUp(exact),
        });
      }
    });
  });
  return [...standing.values()];
}

function extentsOf(guarantee: Guarantee, runs: readonly GroupRun[], run: GroupRun): { poolKey: string | null; extents: Extent[] }[] {
  switch (guarantee.scope) {
    case 'agreement':
      return [{ poolKey: null, extents: runs.map(agreementExtent) }];
    case 'pool':
      return run.pools.map(({ key }) => ({ poolKey: key, extents: poolExtents(runs, run, key) }));
    case 'machine':
      // Only with one pool per machine: elsewhere a machine has no share of its own.
      return run.machines.map(({ machine }) => ({
        poolKey: poolKeyOf('machine', machine),
        extents: runs.map((each) => machineExtent(each, machine.id)),
      }));
  }
}

function applyOne(sink: LineSink, shares: Shares, standing: Standing): void {
  const { guarantee, poolKey, amountMinor } = standing;
  const byParty = shares.get(poolKey) ?? new Map<PartyId, bigint>();
  const shareMinor = byParty.get(guarantee.party) ?? 0n;
  const moves =
    guarantee.kind === 'at-least'
      ? shortfallMoves(standing, byParty, amountMinor - shareMinor)
      : excessMoves(guarantee.party, guarantee.excessTo, shareMinor - amountMinor);
  for (const [party, movedMinor] of moves) {
    if (movedMinor === 0n) continue;
    addTo(shares, poolKey, party, movedMinor);
    if (poolKey !== null) addTo(shares, null, party, movedMinor);
    writeMove(sink, standing, party, { movedMinor, shareMinor });
  }
}

/** Who gives and who gets, for a shortfall above zero. */
function shortfallMoves(
  { guarantee, operator, parties }: Standing,
  byParty: ReadonlyMap<PartyId, bigint>,
  shortfallMinor: bigint,
): [PartyId, bigint][] {
  if (shortfallMinor <= 0n || guarantee.kind !== 'at-least') return [];
  if (guarantee.from === 'operator')
    return [
      [guarantee.party, shortfallMinor],
      [operator, -shortfallMinor],
    ];
  // Everybody with a share of this period gives, also a party that only another group's terms name.
  const givers = [...new Set([...parties, ...byParty.keys()])]
    .filter((party) => party !== guarantee.party)
    .map((party) => ({ party, share: byParty.get(party) ?? 0n }))
    .filter(({ share }) => share > 0n);
  const available = givers.reduce((sum, { share }) => sum + share, 0n);
  if (available === 0n) return [];
  const movedMinor = shortfallMinor < available ? shortfallMinor : available;
  const parts = allocate({ amountMinor: movedMinor, weights: givers.map(({ share }) => share) });
  return [[guarantee.party, movedMinor], ...givers.map(({ party }, index): [PartyId, bigint] => [party, -(parts[index] ?? 0n)])];
}

function excessMoves(party: PartyId, excessTo: PartyId, excessMinor: bigint): [PartyId, bigint][] {
  return excessMinor <= 0n
    ? []
    : [
        [party, -excessMinor],
        [excessTo, excessMinor],
      ];
}

function writeMove(
  sink: LineSink,
  { guarantee, poolKey, times, amountMinor, exact, rule }: Standing,
  party: PartyId,
  { movedMinor, shareMinor }: { movedMinor: bigint; shareMinor: bigint },
): void {
  const key = `guarantee/${guarantee.kind}/${guarantee.party}/${poolKey ?? 'agreement'}${times === 1 ? '' : `/${times}`}/${party}`;
  const about = { guaranteeId: guarantee.id, party, ...(poolKey === null ? {} : { poolKey }) };
  writeLine(sink, { key, step: 'guarantees', kind: 'guarantee', about, amountMinor: movedMinor }, () => ({
    formula: guarantee.kind === 'at-least' ? 'guarantee-shortfall' : 'guarantee-excess',
    inputs: linesRef(
      sink.lines
        .filter((line) => line.kind === 'share' && line.about.party === guarantee.party && (poolKey === null || line.about.poolKey === poolKey))
        .map((line) => line.key),
    ),
    rule,
    exact,
    parameters: { guaranteedMinor: amountMinor.toString(), shareMinor: shareMinor.toString() },
  }));
}
