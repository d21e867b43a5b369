import { currencyDigits } from '#domain/money/currency';
import { formatMinor } from '#domain/money/amount';
import { countKey, type DemoVisit } from './visits';
import type { DemoOperator } from './world';

const HEAD = ['site', 'collected_on', 'collected_at', 'collector', 'machine', 'removal', 'coin', 'note', 'refund', 'handed_to_site', 'readings'];

/** Visits as the file that an operator's office would upload, in its own decimal mark. `readings`: of the counts whose machine has recorded meters. */
export function fileOf(operator: DemoOperator, visits: readonly DemoVisit[], readings: ReadonlyMap<string, string>): string {
  const comma = operator.csvDecimal === 'comma';
  const amount = (minor: bigint): string => {
    const text = formatMinor(minor, operator.currency);
    return comma && currencyDigits(operator.currency) > 0 ? text.replace('.', ',') : text;
  };
  const lines = visits.flatMap((visit) =>
    visit.counts.map((count, index) => {
      const refunds = visit.refunds.filter((refund) => refund.machineTag === count.machineTag).reduce((sum, refund) => sum + refund.amountMinor, 0n);
      const handed = index === 0 ? visit.handedMinor : 0n;
      return [visit.siteCode, visit.on, visit.at, visit.collectorCode, count.machineTag, count.removal ? 'yes' : 'no', ...[count.coinMinor, count.noteMinor, refunds, handed].map(amount), readings.get(countKey(visit, count)) ?? ''];
    }),
  );
  return [HEAD, ...lines].map((cells) => cells.join(comma ? ';' : ',')).join('\r\n');
}
