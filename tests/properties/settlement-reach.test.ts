import fc from 'fast-check';
import type { LineKind } from '#domain/settlement/lines';
import type { SettlementInputs, SettlementResult } from '#domain/settlement/types';
import { casesOf, holds, printReach } from '#tests/support/property-runs';
import { arbitraryEvents, arbitraryTaxRules, arbitraryVersions } from '#tests/support/settlement-arbitrary';
import { issueAll, span } from '#tests/support/settlement-timeline';

/**
 * Random cases prove little about a rule that never acts in them. This counts, over one fixed sample, the share of
 * cases in which each rule changes a figure, prints the table and refuses anything below 2 %.
 */
const timeline = fc
  .tuple(arbitraryVersions(span), arbitraryTaxRules(span), arbitraryEvents(span, { maxEvents: 14 }))
  .map(([versions, taxRules, events]) =>
    issueAll(
      { versions, taxRules },
      events.map((event) => ({ event, knownIn: 0 })),
    ),
  );

interface Settled {
  readonly inputs: SettlementInputs;
  readonly result: SettlementResult;
}

type Acts = (settled: Settled) => boolean;

const line =
  (kind: LineKind, more: (line: SettlementResult['periods'][number]['lines'][number]) => boolean = () => true): Acts =>
  ({ result }) =>
    result.periods.some(({ lines }) => lines.some((each) => each.kind === kind && each.amountMinor !== 0n && more(each)));

/** A charge line whose charge in the terms is of this unit or base. */
const charge =
  (unit: string): Acts =>
  ({ inputs, result }) =>
    line('charge', (each) =>
      inputs.current.versions.some(({ terms }) =>
        terms.charges.some(({ id, amount }) => id === each.about.chargeId && (amount.kind === 'amount' ? amount.per : amount.of) === unit),
      ),
    )({ inputs, result });

const chargeScope =
  (scope: string): Acts =>
  ({ inputs, result }) =>
    line('charge', (each) =>
      inputs.current.versions.some(({ terms }) => terms.charges.some((known) => known.id === each.about.chargeId && known.scope === scope)),
    )({ inputs, result });

const formula = (kind: LineKind, code: string): Acts => line(kind, (each) => each.explanation?.formula === code);

const taxMethod =
  (method: string): Acts =>
  ({ inputs, result }) =>
    line('tax', (each) => inputs.current.taxRules.some((rule) => rule.id === each.about.taxRuleId && rule.method === method))({ inputs, result });

const bands =
  (method: string, scope: string): Acts =>
  ({ inputs, result }) =>
    inputs.current.versions.some(
      ({ terms: { split } }) => split.kind === 'bands' && split.method === method && split.scope === scope && split.bands.length > 1,
    ) && formula('share', 'share-by-bands')({ inputs, result });

const guarantee =
  (from: string): Acts =>
  ({ inputs, result }) =>
    line('guarantee', (each) =>
      inputs.current.versions.some(({ terms }) =>
        terms.guarantees.some((known) => known.id === each.about.guaranteeId && (known.kind === 'at-most' ? 'at-most' : known.from) === from),
      ),
    )({ inputs, result });

const rules: Readonly<Record<string, Acts>> = {
  'takings: metered difference': line('metered-difference'),
  'takings: tokens': line('tokens'),
  'takings: cashless': line('cashless'),
  'takings: break-in made good by the operator': line('break-in', (each) => each.about.party === 'operator'),
  'takings: break-in made good by the site': line('break-in', (each) => each.about.party === 'site'),
  'refunds: negative net takings of a machine': line('net-takings', (each) => each.amountMinor < 0n),
  'two groups of counts': line('net-takings', (each) => each.about.group === 2),
  'two tax rows in one period': ({ result }) =>
    result.periods.some(({ lines }) =>
      [0, 1].some((index) => [1, 2].every((row) => lines.some((each) => each.about.taxRuleId === `rule-${index}-${row}`))),
    ),
  'tax: inside': taxMethod('inside'),
  'tax: on takings': taxMethod('on-takings'),
  'tax: fixed by days': formula('tax', 'tax-fixed-by-days'),
  'tax: fixed when due': formula('tax', 'tax-fixed-when-due'),
  'tax: capped': formula('tax', 'tax-capped'),
  'tax: set against carried': ({ result }) =>
    result.periods.some(({ lines }) => lines.some((each) => each.explanation?.formula === 'tax-set-against-carried')),
  'tax: not below zero': ({ result }) => result.periods.some(({ lines }) => lines.some((each) => each.explanation?.formula === 'tax-not-below-zero')),
  'tax: negative carried on': ({ result }) => result.periods.some(({ carriesOut }) => carriesOut.negativeTaxes.length > 0),
  'tax: filed by the site': line('tax', (each) => each.about.filedBy === 'site'),
  'tax: borne by the operator': line('operator-tax'),
  ...Object.fromEntries(
    ['week', 'month', 'year', 'period', 'visit', 'machine-week', 'machine-month', 'net-takings', 'cashless-takings', 'what-is-left'].map((unit) => [
      `charge: ${unit}`,
      charge(unit),
    ]),
  ),
  ...Object.fromEntries(['agreement', 'pool', 'machine'].map((scope) => [`charge scope: ${scope}`, chargeScope(scope)])),
  'charge: at most what is left': formula('charge', 'at-most-what-is-left'),
  'charge: rest lapses': line('charge-rest', (each) => each.about.becomes === 'lapsed'),
  'charge: rest carried': line('charge-rest', (each) => each.about.becomes === 'carried'),
  'charge: carried rest taken': line('charge', (each) => each.about.since !== undefined),
  'split: marginal bands of the agreement': bands('marginal', 'agreement'),
  'split: marginal bands per pool': bands('marginal', 'pool'),
  'split: whole bands of the agreement': bands('whole', 'agreement'),
  'split: whole bands per pool': bands('whole', 'pool'),
  'loss carried out': line('loss-out'),
  'loss carried in': line('loss-in'),
  'loss shared': line('share', (each) => each.amountMinor < 0n),
  'guarantee from the others': guarantee('others'),
  'guarantee from the operator': guarantee('operator'),
  'guarantee: at most': guarantee('at-most'),
  'payout: carried': ({ result }) => result.payables.some((payable) => payable.outcome === 'carried'),
  'payout: owed': ({ result }) => result.payables.some((payable) => payable.outcome === 'owed'),
  'payout: rounded to coins': ({ result }) =>
    result.payables.some((payable) => payable.cashPayment !== null && payable.cashPayment.roundingMinor !== 0n),
};

/**
 * One sample for every run, and never a small one. Over 4,000 cases every rule acts in more than 3 %, the bands in some 5 %; among
 * 100 cases chance alone brings one of the fifty below 2 % in most samples (a rule of 3.3 % in every seventh).
 */
const trial = { thousandths: 200, fixedSeed: 20_261_125, atLeast: 600 };

test('each rule acts in at least 2 % of the cases', () => {
  const acted = new Map(Object.keys(rules).map((name) => [name, 0]));
  holds(
    fc.property(timeline, ({ inputs, results }) => {
      const settled = results.flatMap((result, index): Settled[] => {
        const given = inputs[index];
        return given === undefined ? [] : [{ inputs: given, result }];
      });
      for (const [name, acts] of Object.entries(rules)) if (settled.some(acts)) acted.set(name, (acted.get(name) ?? 0) + 1);
    }),
    trial,
  );
  printReach(acted, casesOf(trial));
});
