/**
 * Cuts a period where the terms or a tax rule change. Counts belong to a segment by their accounting date. Segments
 * under the same terms form one group of counts, which goes through charges and split with its own terms; signing the
 * same terms again therefore starts no new group.
 */
import { toDayNumber, type DayNumber } from '#domain/calendar/local-date';
import { operatorOf, siteOf } from '#domain/terms/parties';
import { sameTerms } from '#domain/terms/same-terms';
import type { AgreementVersion, PartyId, Terms } from '#domain/terms/types';
import type { TaxRule } from '#domain/tax/types';
import type { PeriodInputs } from '#domain/settlement/types';

export interface Segment {
  readonly from: DayNumber;
  /** Index into the groups. */
  readonly groupIndex: number;
}

export interface Group {
  /** 1 and up, in the order of the versions. */
  readonly number: number;
  readonly versionId: string;
  readonly terms: Terms;
  readonly operator: PartyId;
  readonly site: PartyId;
  readonly tokenValues: ReadonlyMap<string, bigint>;
}

export interface Cut {
  readonly segments: readonly Segment[];
  readonly groups: readonly Group[];
}

export function cutPeriod(inputs: PeriodInputs): Cut {
  const from = toDayNumber(inputs.period.from);
  const until = toDayNumber(inputs.period.until);
  const runs = runsOfSameTerms(inputs.versions, from, until);
  const starts = new Set<DayNumber>([from]);
  for (const run of runs) starts.add(run.from);
  for (const rule of inputs.taxRules) {
    for (const day of [toDayNumber(rule.from), rule.until === null ? from : toDayNumber(rule.until)]) {
      if (day > from && day < until) starts.add(day);
    }
  }
  const ordered = [...starts].sort((first, second) => first - second);
  return {
    groups: runs.map((run, index) => groupOf(run.version, index + 1)),
    segments: ordered.map((day) => ({ from: day, groupIndex: lastStartingBy(runs, day) })),
  };
}

interface Run {
  readonly from: DayNumber;
  readonly version: AgreementVersion;
}

/** The versions in force in the period, neighbours that say the same taken as one. The first also covers days before it. */
function runsOfSameTerms(versions: readonly AgreementVersion[], from: DayNumber, until: DayNumber): Run[] {
  const sorted = versions.map((version) => ({ version, from: toDayNumber(version.startsOn) })).sort((first, second) => first.from - second.from);
  const runs: Run[] = [];
  sorted.forEach((candidate, index) => {
    const next = sorted[index + 1];
    if (candidate.from >= until && runs.length > 0) return;
    if (next !== undefined && next.from <= from) return;
    const open = runs[runs.length - 1];
    if (open !== undefined && sameTerms(open.version.terms, candidate.version.terms)) return;
    runs.push({ version: candidate.version, from: runs.length === 0 ? from : candidate.from });
  });
  if (runs.length === 0) throw new Error('A period needs at least one version of its agreement');
  return runs;
}

function lastStartingBy(runs: readonly Run[], day: DayNumber): number {
  let index = 0;
  runs.forEach((run, position) => {
    if (run.from <= day) index = position;
  });
  return index;
}

function groupOf(version: AgreementVersion, number: number): Group {
  const { terms } = version;
  return {
    number,
    versionId: version.id,
    terms,
    operator: operatorOf(terms),
    site: siteOf(terms),
    tokenValues: new Map(terms.tokens.map((token) => [token.tokenId, token.valueMinor])),
  };
}

/** The segment that a date belongs to; dates before the first cut belong to the first segment. */
export function segmentIndexOf(segments: readonly Segment[], day: DayNumber): number {
  let index = segments.length - 1;
  while (index > 0 && (segments[index]?.from ?? day) > day) index -= 1;
  return index;
}

/** Whether a dated rule is in force in a segment; segments never straddle a rule's dates. */
export function isInForce(rule: TaxRule, segment: Segment): boolean {
  return toDayNumber(rule.from) <= segment.from && (rule.until === null || segment.from < toDayNumber(rule.until));
}
