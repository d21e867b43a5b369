/**
 * What an issued settlement posts. Its takings leave the account where accepted collections put them, and arrive with
 * tax, payees and the operator's own income. Each money line posts on its own account; because the lines balance, so
 * does the entry.
 */
import type { AccountCode } from '#domain/journal/accounts';
import type { EntryPosting } from '#domain/journal/types';
import type { PeriodLine } from '#domain/settlement/lines';
import type { PartyId } from '#domain/terms/types';

export interface SettlementParties {
  readonly agreementId: string;
  readonly operator: PartyId;
}

interface Posted {
  readonly code: AccountCode;
  readonly holderId: string | null;
  /** 1n: the line's amount is a debit. */
  readonly sign: 1n | -1n;
}

/** One posting per account, debits positive, in the order in which the accounts come up; zero sums are left out. */
export function settlementPostings(lines: readonly PeriodLine[], parties: SettlementParties): EntryPosting[] {
  const sums = new Map<string, { posted: Posted; amountMinor: bigint }>();
  for (const line of lines) {
    for (const posted of postedBy(line, parties)) {
      const key = `${posted.code} ${posted.holderId ?? ''}`;
      const before = sums.get(key);
      if (before === undefined) sums.set(key, { posted, amountMinor: line.amountMinor * posted.sign });
      else before.amountMinor += line.amountMinor * posted.sign;
    }
  }
  const postings = [...sums.values()]
    .filter(({ amountMinor }) => amountMinor !== 0n)
    .map(({ posted, amountMinor }) => ({ account: { code: posted.code, holderId: posted.holderId }, amountMinor }));
  const sum = postings.reduce((total, posting) => total + posting.amountMinor, 0n);
  if (sum !== 0n) throw new Error(`A settlement's entry must balance but is ${sum} off`);
  return postings;
}

function postedBy(line: PeriodLine, { agreementId, operator }: SettlementParties): Posted[] {
  const { kind, about } = line;
  const toParty = (ownIncome: Posted): Posted => {
    const party = about.party ?? operator;
    return party === operator ? ownIncome : { code: 'payable-to-payee', holderId: party, sign: ownIncome.sign };
  };
  switch (kind) {
    case 'cash':
      return [{ code: 'takings-to-settle', holderId: agreementId, sign: 1n }];
    case 'cashless':
      return [{ code: 'card-receivable', holderId: null, sign: 1n }];
    case 'tokens':
      return [{ code: 'tokens-redeemed', holderId: null, sign: 1n }];
    case 'metered-difference':
      return [{ code: 'cash-over-and-short', holderId: null, sign: 1n }];
    case 'break-in':
      return [toParty({ code: 'break-in-loss', holderId: null, sign: 1n })];
    case 'refund':
      return [toParty({ code: 'refunds-advanced-by-operator', holderId: null, sign: -1n })];
    case 'tax':
      return [about.filedBy === 'site' ? toParty({ code: 'tax-payable', holderId: about.taxAreaId ?? null, sign: -1n }) : taxPayable(line)];
    case 'operator-tax':
      return [
        { code: 'operator-tax', holderId: about.taxAreaId ?? null, sign: 1n },
        about.filedBy === 'site' ? toParty({ code: 'tax-payable', holderId: about.taxAreaId ?? null, sign: -1n }) : taxPayable(line),
      ];
    case 'loss-in':
    case 'loss-out':
      return [{ code: 'losses-carried', holderId: agreementId, sign: kind === 'loss-in' ? 1n : -1n }];
    case 'charge':
      return [toParty({ code: 'operator-charges', holderId: agreementId, sign: -1n })];
    case 'share':
    case 'guarantee':
      return [toParty({ code: 'operator-share', holderId: agreementId, sign: -1n })];
    case 'payee-handed-cash':
      // The payout line is negative from the payee's view: it lowers the payable.
      return [
        { code: 'payable-to-payee', holderId: about.party ?? null, sign: -1n },
        { code: 'cash-handed', holderId: about.party ?? null, sign: 1n },
      ];
    case 'payee-advance':
      return [
        { code: 'payable-to-payee', holderId: about.party ?? null, sign: -1n },
        { code: 'advance-to-payee', holderId: about.party ?? null, sign: 1n },
      ];
    case 'net-takings':
    case 'tax-base':
    case 'tax-taxable':
    case 'tax-of-machine':
    case 'pool-opening':
    case 'charge-rest':
    case 'pool-left':
    case 'payee-share':
    case 'payee-charge':
    case 'payee-refund':
    case 'payee-tax':
    case 'payee-break-in':
    case 'payee-carried-in':
    case 'payable':
      return [];
  }
}

function taxPayable(line: PeriodLine): Posted {
  return { code: 'tax-payable', holderId: line.about.taxAreaId ?? null, sign: -1n };
}
