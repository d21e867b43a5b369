/** One invented month under terms with nearly everything in them, for pages that are looked at and compared as they stand. */
import { encodeInputs, encodeResult } from '#contracts/settlement-document';
import { addDays, localDate } from '#domain/calendar/local-date';
import { canonicalBytes, type CanonicalValue } from '#domain/evidence/canonical-json';
import { decimal } from '#domain/money/decimal';
import { settle } from '#domain/settlement/settle';
import type { SettlementInputs } from '#domain/settlement/types';
import type { RecentPeriod, StatementDocument } from '#statement/document';
import { statementFromSettlement } from '#statement/from-settlement';
import type { StatementFacts } from '#statement/settlement-mapping';
import { sha256Hex } from '#statement/sign/sign-pdf';
import { formatDate } from '#statement/words/format';
import { languageOf } from '#statement/words/languages';
import { cashless, charge, count, inputs, insideRule, machine, operator, period, shares, site, slip, version } from '#tests/support/settlement-inputs';

const TAGS = ['M-1040', 'M-1041', 'M-1042', 'M-1043', 'M-1044', 'M-1045'];
const GAMES = ['Comet Courier', 'Tin Garden', 'Paper Harbour', 'Night Ferry'];

function month(currency: 'USD' | 'EUR'): SettlementInputs {
  const terms = {
    currency,
    charges: [charge(), charge({ id: 'card', title: 'Card fees', rest: 'carry', scope: 'pool', amount: { kind: 'percentage', of: 'cashless-takings', percent: decimal('2.5') } })],
    split: { kind: 'shares', shares: shares([operator, '60'], [site, '40']) },
    guarantees: [{ id: 'g', kind: 'at-least', party: site, amountMinor: 300_000n, per: 'month', scope: 'agreement', from: 'others' }],
    advances: { kind: 'fixed', amountMinor: 4_000n },
  } as const;
  const counts = TAGS.flatMap((tag, index) => [count(tag, '2026-01-15', 161_000n - BigInt(index) * 4_123n, { noteMinor: 2_000n }), count(tag, '2026-01-29', 40_000n)]);
  return inputs(
    period('2026-01-01', '2026-02-01', { versions: [version('2020-01-01', terms)], machines: TAGS.map((tag) => machine(tag)), counts, refundSlips: [slip('M-1040', '2026-01-15', 500n)], cashless: [cashless('M-1041', '2026-01-20', 12_345n, 500n)], taxRules: [insideRule(['4', '0.5'])] }),
    {
      currency,
      handedCash: [{ id: 'h', party: site, collectionId: null, date: localDate('2026-01-15'), amountMinor: 1_000n, reason: 'handed' }],
      advances: [{ id: 'advance', party: site, openMinor: 10_000n }],
      carriedItems: [{ id: 'item', party: site, amountMinor: -250n }],
    },
  );
}

/** Eleven months before, one of them with a balance that the site owed. */
function recentMonths(): RecentPeriod[] {
  return Array.from({ length: 11 }, (_, index) => {
    const firstDay = localDate(`2025-${String(index + 2).padStart(2, '0')}-01`);
    const next = index === 10 ? localDate('2026-01-01') : localDate(`2025-${String(index + 3).padStart(2, '0')}-01`);
    return { firstDay, lastDay: addDays(next, -1), takingsMinor: 950_000n + BigInt((index * 79_190) % 190_000), payableMinor: index === 3 ? -12_345n : 290_000n + BigInt((index * 39_595) % 60_000) };
  });
}

export function pageOfMonth({ locale, paper, facts = {} }: { readonly locale: string; readonly paper: 'A4' | 'Letter'; readonly facts?: Partial<StatementFacts> }): StatementDocument {
  const given = month(paper === 'A4' ? 'EUR' : 'USD');
  const result = settle(given, { explain: false });
  const settlement: CanonicalValue = { format: 1, settlementId: 'settlement', number: 'T-2026-000001', issuedOn: '2026-02-02', inputs: encodeInputs(given), result: encodeResult(result) };
  const language = languageOf(locale);
  const payment = language.words.payment.toPayee({ how: 'bank', by: formatDate(localDate('2026-02-16'), language) }) ?? '';
  return statementFromSettlement({ inputs: given, result }, {
    operator: { name: 'Harbour Lane Amusements', addressLines: ['14 Cooper Street', 'Easthaven'], registration: '600-123' },
    site: { name: 'The Copper Kettle', addressLines: ['201 Quay Road', 'Easthaven'], code: 'KETTLE' },
    payee: { name: 'Žižkov Hospitality', addressLines: ['201 Quay Road', 'Easthaven'], partyId: site },
    partyNames: new Map([[operator, 'Harbour Lane Amusements'], [site, 'Žižkov Hospitality']]),
    games: new Map(TAGS.map((tag, index) => [`m-${tag}`, GAMES[index % GAMES.length] ?? ''])),
    statementNumber: 'T-2026-000001',
    issuedOn: localDate('2026-02-02'),
    issuedAt: '2026-02-02T10:00:00Z',
    locale,
    paper,
    earlierStatements: new Map(),
    carriedFrom: new Map([['item', 'T-2025-000311']]),
    payment,
    notRead: new Set(['m-M-1043']),
    readings: [
      { machineId: 'm-M-1040', meter: 'Coins in', beforeValue: 1_204_311n, lastValue: 1_212_351n, readOn: localDate('2026-01-29') },
      { machineId: 'm-M-1042', meter: 'Coins in', lastValue: 7_710n, readOn: localDate('2026-01-29') },
    ],
    recent: recentMonths(),
    verificationAddress: 'https://ledger.example/verifier.html',
    standing: { operatorId: '0189a000-0000-7000-8000-00000000000a', salt: 'ab'.repeat(16) },
    evidence: { headSize: 12_345, headRoot: 'ab'.repeat(32), settlementDigest: sha256Hex(canonicalBytes(settlement)) },
    settlement,
    ...facts,
  });
}
