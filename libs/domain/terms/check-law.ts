/** What the law of the place does not allow in an agreement. The message names the rule's published source. */
import { toBillionths, type Decimal } from '#domain/money/decimal';
import { shareLists } from '#domain/terms/check-split';
import { operatorIn, siteIn } from '#domain/terms/parties';
import { problem, type TermsProblem } from '#domain/terms/problems';
import type { PartyId, PartyShare, Terms } from '#domain/terms/types';
import type { FixedSplit, HighestSiteShare, LawLimit } from '#domain/tax/types';

export function checkLaw(terms: Terms, limits: readonly LawLimit[]): TermsProblem[] {
  return limits.flatMap((limit) => {
    switch (limit.kind) {
      case 'highest-site-share':
        return checkHighestShare(terms, limit);
      case 'fixed-split':
        return checkFixedSplit(terms, limit);
      case 'no-advances':
        return terms.advances.kind === 'none' ? [] : [problem('/advances', 'law-no-advances', { source: limit.source })];
    }
  });
}

function checkHighestShare(terms: Terms, limit: HighestSiteShare): TermsProblem[] {
  const site = siteIn(terms);
  return shareLists(terms.split).flatMap(({ pointer, shares }) =>
    shares.flatMap((share, index) =>
      share.party === site && toBillionths(share.percent) > toBillionths(limit.percent)
        ? [problem(`${pointer}/${index}/percent`, 'law-highest-site-share', { percent: share.percent, highest: limit.percent, source: limit.source })]
        : [],
    ),
  );
}

function checkFixedSplit(terms: Terms, limit: FixedSplit): TermsProblem[] {
  const { operatorPercent, sitePercent, source } = limit;
  return shareLists(terms.split).flatMap(({ pointer, shares }) =>
    percentOf(shares, operatorIn(terms)) === toBillionths(operatorPercent) && percentOf(shares, siteIn(terms)) === toBillionths(sitePercent)
      ? []
      : [problem(pointer, 'law-fixed-split', { operatorPercent, sitePercent, source })],
  );
}

function percentOf(shares: readonly PartyShare[], party: PartyId | undefined): bigint {
  const percent: Decimal | undefined = shares.find((share) => share.party === party)?.percent;
  return percent === undefined ? 0n : toBillionths(percent);
}
