/**
 * What a counter writes down of one box, denomination by denomination, in pieces or by weight; and what it is worth.
 */
import type { CurrencyCode } from '../money/currency';
import { piecesByWeight, possiblePieces, USUAL_SLACK_PERCENT } from './pieces';

/**
 * One issue of coins or notes of one denomination. A denomination that was issued in two weights is two issues: a
 * scale cannot tell them apart, so whoever weighs has sorted them first.
 */
export interface CashIssue {
  /** Lower case, `usd-quarter`. */
  readonly id: string;
  readonly name: string;
  readonly currency: CurrencyCode;
  readonly tender: 'coin' | 'note';
  readonly faceMinor: bigint;
  /** Of one piece; null where it is not counted by weight. */
  readonly pieceMilligrams: bigint | null;
  /** How far the mean of new pieces may lie from that weight, in parts per million; null where nothing is published. */
  readonly toleranceParts: bigint | null;
}

export type TallyEntry =
  | { readonly issueId: string; readonly pieces: bigint }
  | { readonly issueId: string; readonly weightMilligrams: bigint }
  /** Coins that weigh the same for the same value, unsorted: they can be valued together, not counted. */
  | { readonly mixedIssueIds: readonly string[]; readonly weightMilligrams: bigint };

export type TallyRefusal =
  | { readonly kind: 'unknown-issue'; readonly index: number; readonly issueId: string }
  | { readonly kind: 'issue-twice'; readonly index: number; readonly issueId: string }
  | { readonly kind: 'no-weight'; readonly index: number; readonly issueId: string }
  | { readonly kind: 'mix-of-weights'; readonly index: number }
  /** The two amounts between which the weight lies; they say nothing of what was expected. */
  | { readonly kind: 'weigh-again'; readonly index: number; readonly belowMinor: bigint; readonly aboveMinor: bigint };

export interface TallyLine {
  readonly index: number;
  /** Null for a mixed bag, which is valued and not counted. */
  readonly pieces: bigint | null;
  readonly valueMinor: bigint;
  /** What the weight could also be worth, were the pieces at the edge of the mint's tolerance; null for counted pieces. */
  readonly possibleMinor: { readonly least: bigint; readonly most: bigint } | null;
}

export interface Tally {
  readonly coinMinor: bigint;
  readonly noteMinor: bigint;
  readonly lines: readonly TallyLine[];
}

/** The value of a tally in one currency's issues, or every entry of it that cannot stand. `slackPercent`: how near to whole pieces a weight must come. */
export function valueTally(
  entries: readonly TallyEntry[],
  { issues, slackPercent = USUAL_SLACK_PERCENT }: { readonly issues: readonly CashIssue[]; readonly slackPercent?: number },
): { readonly ok: true; readonly tally: Tally } | { readonly ok: false; readonly refusals: readonly TallyRefusal[] } {
  const byId = new Map(issues.map((issue) => [issue.id, issue]));
  const counted = new Set<string>();
  const refusals: TallyRefusal[] = [];
  const lines: TallyLine[] = [];
  const sums = { coin: 0n, note: 0n };
  entries.forEach((entry, index) => {
    const ids = 'mixedIssueIds' in entry ? entry.mixedIssueIds : [entry.issueId];
    const unknown = ids.find((id) => !byId.has(id));
    if (unknown !== undefined) return void refusals.push({ kind: 'unknown-issue', index, issueId: unknown });
    const key = keyOf(entry);
    if (counted.has(key)) return void refusals.push({ kind: 'issue-twice', index, issueId: ids[0] ?? '' });
    counted.add(key);
    const known = ids.flatMap((id) => byId.get(id) ?? []);
    const valued = 'pieces' in entry ? countedLine({ index, pieces: entry.pieces, issue: known[0] }) : weighedLine({ index, weightMilligrams: entry.weightMilligrams, issues: known, slackPercent });
    if ('kind' in valued) return void refusals.push(valued);
    lines.push(valued);
    sums[known[0]?.tender ?? 'coin'] += valued.valueMinor;
  });
  if (refusals.length > 0) return { ok: false, refusals };
  return { ok: true, tally: { coinMinor: sums.coin, noteMinor: sums.note, lines } };
}

/** Pieces that were counted and pieces that were weighed may both be there of one issue; each of them once. */
function keyOf(entry: TallyEntry): string {
  if ('mixedIssueIds' in entry) return `mixed ${[...entry.mixedIssueIds].sort().join(' ')}`;
  return 'pieces' in entry ? `pieces ${entry.issueId}` : `weight ${entry.issueId}`;
}

function countedLine({ index, pieces, issue }: { readonly index: number; readonly pieces: bigint; readonly issue: CashIssue | undefined }): TallyLine {
  return { index, pieces, valueMinor: pieces * (issue?.faceMinor ?? 0n), possibleMinor: null };
}

/**
 * One issue, or several of the same weight per value: their greatest common face is the step in which the weight is
 * read (dimes, quarters and half dollars: five cents).
 */
function weighedLine({ index, weightMilligrams, issues, slackPercent }: { readonly index: number; readonly weightMilligrams: bigint; readonly issues: readonly CashIssue[]; readonly slackPercent: number }): TallyLine | TallyRefusal {
  const unweighable = issues.find((issue) => issue.pieceMilligrams === null);
  if (unweighable !== undefined) return { kind: 'no-weight', index, issueId: unweighable.id };
  const pieceMilligrams = issues[0]?.pieceMilligrams ?? 1n;
  const faceMinor = issues[0]?.faceMinor ?? 1n;
  if (issues.some((issue) => (issue.pieceMilligrams ?? 0n) * faceMinor !== pieceMilligrams * issue.faceMinor)) return { kind: 'mix-of-weights', index };
  const stepMinor = issues.reduce((step, issue) => greatestCommonDivisor(step, issue.faceMinor), faceMinor);
  // In units of 1 / faceMinor milligram, so that the weight of one step is whole, whatever the faces are.
  const read = piecesByWeight({ weightMilligrams: weightMilligrams * faceMinor, pieceMilligrams: pieceMilligrams * stepMinor, slackPercent });
  if (read.kind === 'weigh-again') return { kind: 'weigh-again', index, belowMinor: read.below * stepMinor, aboveMinor: read.above * stepMinor };
  const toleranceParts = issues.reduce<bigint | null>((widest, issue) => (issue.toleranceParts === null ? widest : widest === null || issue.toleranceParts > widest ? issue.toleranceParts : widest), null);
  const possible = toleranceParts === null ? null : possiblePieces({ pieces: read.pieces, toleranceParts });
  return {
    index,
    pieces: issues.length === 1 ? read.pieces : null,
    valueMinor: read.pieces * stepMinor,
    possibleMinor: possible && { least: possible.least * stepMinor, most: possible.most * stepMinor },
  };
}

function greatestCommonDivisor(first: bigint, second: bigint): bigint {
  return second === 0n ? first : greatestCommonDivisor(second, first % second);
}
