/** Where money can be paid to, or from. */

export interface IbanAccount {
  readonly kind: 'iban';
  /** The name under which the bank keeps the account. */
  readonly holderName: string;
  /** Without blanks, in capitals. */
  readonly iban: string;
  readonly bic: string | null;
}

export interface UsAccount {
  readonly kind: 'us';
  readonly holderName: string;
  readonly routingNumber: string;
  /** Up to 17 characters. */
  readonly accountNumber: string;
  readonly accountType: 'checking' | 'savings';
  /** A transfer to a person and one to a business go in batches of different kinds. */
  readonly holderKind: 'person' | 'business';
  /** Of the account that is paid from: what the bank agreed with its holder. */
  readonly originator: UsOriginator | null;
}

export interface UsOriginator {
  /** Ten characters by which the bank knows the company. */
  readonly companyId: string;
  readonly bankName: string;
}

export type BankAccount = IbanAccount | UsAccount;

/** What people may see of an account: enough to recognise it, too little to use it. */
export interface MaskedAccount {
  /** Country of an IBAN; `US`. */
  readonly country: string;
  /** The last digits, at most four and never more than a third of the number. */
  readonly ending: string;
}

export function maskedAccount(account: BankAccount): MaskedAccount {
  const number = account.kind === 'iban' ? account.iban : account.accountNumber;
  const shown = Math.min(4, Math.floor(number.length / 3));
  return { country: account.kind === 'iban' ? account.iban.slice(0, 2) : 'US', ending: shown === 0 ? '' : number.slice(-shown) };
}
