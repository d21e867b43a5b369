import type { TermsDocument } from '#contracts/terms';
import { formatMinor } from '#domain/money/amount';
import { decimal } from '#domain/money/decimal';
import type { DemoOperator, DemoTerms } from './world';

/** Demo terms as the document that both would sign. The operator is `operator`, the site's owner goes by the party's id. */
export function termsDocument(operator: DemoOperator, terms: DemoTerms, parties: { ownerId: string }): TermsDocument {
  const { ownerId } = parties;
  const first = terms.operatorFirstPerWeekMinor;
  return {
    format: 1,
    currency: operator.currency,
    arrangement: 'machine-lease',
    parties: [
      { id: 'operator', role: 'operator' },
      { id: ownerId, role: 'site' },
    ],
    cycle: operator.cycle,
    basis: 'counted',
    grouping: 'site',
    tax: { filedBy: 'as-the-rule-says', borneBy: 'as-the-rule-says' },
    tokens: [],
    cashless: 'by-day',
    breakIns: { borneBy: 'all' },
    charges:
      first === null
        ? []
        : [
            {
              id: 'operator-first',
              title: operator.locale.startsWith('de') ? 'Vorab an den Aufsteller' : 'First call of the operator',
              to: 'operator',
              scope: 'agreement',
              amount: { kind: 'amount', per: 'week', amount: formatMinor(first, operator.currency) },
              rest: 'lapse',
            },
          ],
    split: {
      kind: 'shares',
      shares: [
        { party: 'operator', percent: decimal(String(100 - terms.sitePercent)) },
        { party: ownerId, percent: decimal(String(terms.sitePercent)) },
      ],
    },
    loss: 'carry',
    guarantees: [],
    advances: { kind: 'none' },
    payout: { smallest: formatMinor(0n, operator.currency), negative: 'carry', smallestCoin: null },
  };
}
