/**
 * The chart of accounts as data. Accounts that are kept per holder (each payee, each tax area ...) have one balance
 * per holder id.
 */
export type AccountType = 'asset' | 'liability' | 'income' | 'expense';

export interface Account {
  readonly type: AccountType;
  /** Who the balance is kept for. */
  readonly per: 'operator' | 'collector' | 'site' | 'agreement' | 'party' | 'area' | 'float' | 'bank';
  /** Segments of its name in a plain-text journal, below the type. */
  readonly name: readonly string[];
}

export const chartOfAccounts = {
  /** Notes and coins with a collector on the way to the counting room. */
  'cash-with-collector': { type: 'asset', per: 'collector', name: ['cash', 'collector'] },
  'cash-in-counting-room': { type: 'asset', per: 'operator', name: ['cash', 'counting room'] },
  /** A changer's or a tube's own float. */
  'cash-in-float': { type: 'asset', per: 'float', name: ['cash', 'float'] },
  bank: { type: 'asset', per: 'bank', name: ['bank'] },
  /** What is paid or received neither in cash nor through the bank, until it is cleared there. */
  'other-means': { type: 'asset', per: 'operator', name: ['other means of payment'] },
  'card-receivable': { type: 'asset', per: 'operator', name: ['card receivable'] },
  /** Takings that are in the house but not settled yet: credited when a collection is accepted, debited by the settlement. */
  'takings-to-settle': { type: 'liability', per: 'agreement', name: ['takings to settle'] },
  /** Cash handed to a payee at a collection, until the settlement sets it off. */
  'cash-handed': { type: 'asset', per: 'party', name: ['cash handed'] },
  'payable-to-payee': { type: 'liability', per: 'party', name: ['payable'] },
  'advance-to-payee': { type: 'asset', per: 'party', name: ['advances'] },
  'tax-payable': { type: 'liability', per: 'area', name: ['tax'] },
  /** Declared on filed returns and owed to the authority from then on. */
  'tax-due': { type: 'liability', per: 'area', name: ['tax due'] },
  /** Rounding, negative bases and timing between settlements and the filed return. */
  'tax-difference': { type: 'expense', per: 'area', name: ['tax difference'] },
  'losses-carried': { type: 'asset', per: 'agreement', name: ['losses carried'] },
  'refunds-advanced-by-operator': { type: 'liability', per: 'operator', name: ['refunds paid by operator'] },
  'tokens-redeemed': { type: 'expense', per: 'operator', name: ['tokens redeemed'] },
  'operator-share': { type: 'income', per: 'agreement', name: ['share'] },
  'operator-charges': { type: 'income', per: 'agreement', name: ['charges'] },
  'operator-tax': { type: 'expense', per: 'area', name: ['tax borne'] },
  'break-in-loss': { type: 'expense', per: 'operator', name: ['break-ins'] },
  'cash-over-and-short': { type: 'expense', per: 'operator', name: ['cash over and short'] },
  'cash-rounding': { type: 'expense', per: 'operator', name: ['cash rounding'] },
  'written-off': { type: 'expense', per: 'operator', name: ['written off'] },
} as const satisfies Record<string, Account>;

export type AccountCode = keyof typeof chartOfAccounts;
