import type { BankAccount } from '#domain/payment-file/bank-account';

/** One transfer of a payment file. */
export interface Transfer<Account extends BankAccount> {
  /** Up to 35 characters, one of its kind: the payer finds the transfer again by it. */
  readonly id: string;
  readonly payee: Account;
  /** Minor units, above zero. */
  readonly amountMinor: bigint;
  /** What the payee reads on the bank statement: the numbers of the settlements. */
  readonly remittance: string;
}

export type PaymentFileProblemCode =
  | 'no-transfers'
  | 'amount-not-positive'
  | 'amount-too-large'
  /** Nothing of the holder's name can be written in the characters that banks take. */
  | 'name-not-writable'
  | 'other-currency'
  | 'originator-missing';

/** `index`: of the transfer; `null`: the file as a whole, or the account that is paid from. */
export interface PaymentFileProblem {
  readonly code: PaymentFileProblemCode;
  readonly index: number | null;
}

/** What the bank has to find in the file; shown to whoever sends it. */
export interface ControlSums {
  readonly transfers: number;
  readonly sumMinor: bigint;
  /** Of the clearing house: the sum of the banks' numbers without their check digit, ten digits. */
  readonly entryHash: string | null;
}

export type PaymentFile =
  | { readonly ok: true; readonly text: string; readonly sums: ControlSums }
  | { readonly ok: false; readonly problems: readonly PaymentFileProblem[] };

/** What is wrong with transfers in every kind of file. */
export function transferProblems<Account extends BankAccount>(
  transfers: readonly Transfer<Account>[],
  rules: { readonly largestMinor: bigint; readonly nameOf: (account: Account) => string },
): PaymentFileProblem[] {
  if (transfers.length === 0) return [{ code: 'no-transfers', index: null }];
  return transfers.flatMap(({ amountMinor, payee }, index): PaymentFileProblem[] => [
    ...(amountMinor <= 0n ? [{ code: 'amount-not-positive' as const, index }] : []),
    ...(amountMinor > rules.largestMinor ? [{ code: 'amount-too-large' as const, index }] : []),
    ...(rules.nameOf(payee) === '' ? [{ code: 'name-not-writable' as const, index }] : []),
  ]);
}

export function sumOfTransfers(transfers: readonly { readonly amountMinor: bigint }[]): bigint {
  return transfers.reduce((sum, { amountMinor }) => sum + amountMinor, 0n);
}
