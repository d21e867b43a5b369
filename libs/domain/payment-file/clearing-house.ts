/**
 * A file for the automated clearing house of the United States: records of 94 characters in blocks of ten. Positions as
 * banks and the Treasury publish them (for example U.S. Department of the Treasury, Pension Payroll Disbursement Services
 * RFP 2014, exhibit J). All entries are credits; the bank books the sum against the originator's account.
 */
import { yearMonthDayOf, toDayNumber, type LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import type { UsAccount, UsOriginator } from '#domain/payment-file/bank-account';
import { clearingText } from '#domain/payment-file/bank-text';
import { sumOfTransfers, transferProblems, type PaymentFile, type PaymentFileProblem, type Transfer } from '#domain/payment-file/types';

export interface ClearingOrder {
  readonly createdOn: LocalDate;
  /** Hours and minutes, `1430`. */
  readonly createdAt: string;
  /** `A` for the first file of a day, `B` for the second, and so on: A to Z, 0 to 9. */
  readonly fileIdModifier: string;
  readonly effectiveOn: LocalDate;
  readonly currency: CurrencyCode;
  readonly payer: UsAccount;
  readonly transfers: readonly Transfer<UsAccount>[];
}

const BLOCKING_FACTOR = 10;
const RECORD_LENGTH = 94;
/** Ten digits of an entry. */
const LARGEST_MINOR = 9_999_999_999n;
const HASH_LIMIT = 10_000_000_000n;
const CREDITS_ONLY = '220';
/** What the payee's statement shows as the kind of payment. */
const DESCRIPTION = 'SETTLEMENT';

type Numbered = { readonly transfer: Transfer<UsAccount>; readonly trace: string };
type Batch = { readonly number: number; readonly entryClass: 'PPD' | 'CCD'; readonly entries: readonly Numbered[] };

const nameOf = ({ holderName }: UsAccount): string => clearingText(holderName, 22);

/** The file, or what stands in its way. People (PPD) and businesses (CCD) are paid in a batch each. */
export function clearingHouseFile(order: ClearingOrder): PaymentFile {
  const problems: PaymentFileProblem[] = transferProblems(order.transfers, { largestMinor: LARGEST_MINOR, nameOf });
  const { originator } = order.payer;
  if (order.currency !== 'USD') problems.push({ code: 'other-currency', index: null });
  if (clearingText(order.payer.holderName, 16) === '') problems.push({ code: 'name-not-writable', index: null });
  if (originator === null) problems.push({ code: 'originator-missing', index: null });
  if (originator === null || problems.length > 0) return { ok: false, problems };
  const batches = batchesOf(order);
  const records = [
    fileHeader(order, originator),
    ...batches.flatMap((batch) => [batchHeader(order, originator, batch), ...batch.entries.map(entryDetail), batchControl(order, originator, batch)]),
  ];
  const all = [...records, fileControl(order, { batches, recordsBefore: records.length })];
  const padding = Array.from({ length: (BLOCKING_FACTOR - (all.length % BLOCKING_FACTOR)) % BLOCKING_FACTOR }, () => '9'.repeat(RECORD_LENGTH));
  const sums = { transfers: order.transfers.length, sumMinor: sumOfTransfers(order.transfers), entryHash: hashOf(order.transfers) };
  return { ok: true, text: [...all, ...padding].map((record) => `${record}\n`).join(''), sums };
}

/** Traces begin with the payer's bank and rise from batch to batch. */
function batchesOf({ payer, transfers }: ClearingOrder): Batch[] {
  let sequence = 0;
  const classes = [['PPD', 'person'], ['CCD', 'business']] as const;
  return classes
    .map(([entryClass, holderKind]) => ({ entryClass, own: transfers.filter(({ payee }) => payee.holderKind === holderKind) }))
    .filter(({ own }) => own.length > 0)
    .map(({ entryClass, own }, index) => ({
      number: index + 1,
      entryClass,
      entries: own.map((transfer) => ({ transfer, trace: bankOf(payer) + digits((sequence += 1), 7) })),
    }));
}

function fileHeader(order: ClearingOrder, { companyId, bankName }: UsOriginator): string {
  const { payer, createdOn, createdAt, fileIdModifier } = order;
  return ['1', '01', ` ${payer.routingNumber}`, asIs(companyId, 10), shortDate(createdOn), createdAt, fileIdModifier, digits(RECORD_LENGTH, 3), digits(BLOCKING_FACTOR, 2), '1', letters(bankName, 23), letters(payer.holderName, 23), letters('', 8)].join('');
}

function batchHeader(order: ClearingOrder, { companyId }: UsOriginator, { number, entryClass }: Batch): string {
  const { payer, createdOn, effectiveOn } = order;
  // The clearing house fills in the day of settlement.
  const settledOn = letters('', 3);
  return ['5', CREDITS_ONLY, letters(payer.holderName, 16), letters('', 20), asIs(companyId, 10), entryClass, letters(DESCRIPTION, 10), shortDate(createdOn), shortDate(effectiveOn), settledOn, '1', bankOf(payer), digits(number, 7)].join('');
}

/** Transaction code 22 credits a checking account, 32 a savings account. */
function entryDetail({ transfer, trace }: Numbered): string {
  const { payee, amountMinor, remittance } = transfer;
  return ['6', payee.accountType === 'checking' ? '22' : '32', payee.routingNumber, asIs(payee.accountNumber, 17), digits(amountMinor, 10), letters(endOf(remittance, 15), 15), letters(payee.holderName, 22), letters('', 2), '0', trace].join('');
}

function batchControl({ payer }: ClearingOrder, { companyId }: UsOriginator, { number, entries }: Batch): string {
  const transfers = entries.map(({ transfer }) => transfer);
  return ['8', CREDITS_ONLY, digits(entries.length, 6), hashOf(transfers), digits(0, 12), digits(sumOfTransfers(transfers), 12), asIs(companyId, 10), letters('', 25), bankOf(payer), digits(number, 7)].join('');
}

function fileControl({ transfers }: ClearingOrder, { batches, recordsBefore }: { readonly batches: readonly Batch[]; readonly recordsBefore: number }): string {
  const blocks = Math.ceil((recordsBefore + 1) / BLOCKING_FACTOR);
  return ['9', digits(batches.length, 6), digits(blocks, 6), digits(transfers.length, 8), hashOf(transfers), digits(0, 12), digits(sumOfTransfers(transfers), 12), letters('', 39)].join('');
}

/** The numbers of the payees' banks without the check digit, added up; of the sum the ten low digits. */
function hashOf(transfers: readonly Transfer<UsAccount>[]): string {
  return digits(transfers.reduce((sum, { payee }) => sum + BigInt(bankOf(payee)), 0n) % HASH_LIMIT, 10);
}

function bankOf({ routingNumber }: UsAccount): string {
  return routingNumber.slice(0, 8);
}

function shortDate(date: LocalDate): string {
  const { year, month, day } = yearMonthDayOf(toDayNumber(date));
  return digits(year % 100, 2) + digits(month, 2) + digits(day, 2);
}

/** Statement numbers differ at their end: what is too long for its field loses its beginning. */
function endOf(text: string, length: number): string {
  return clearingText(text, text.length).slice(-length);
}

/** Letters stand left with blanks behind, digits right with zeros before. */
function letters(text: string, length: number): string {
  return clearingText(text, length).padEnd(length);
}

/** What a bank gave out, blanks in front and small letters included. */
function asIs(text: string, length: number): string {
  if (text.length > length) throw new Error(`${String(text.length)} characters do not fit into ${String(length)}`);
  return text.padEnd(length);
}

function digits(value: bigint | number, length: number): string {
  const text = value.toString();
  if (text.length > length) throw new Error(`${text} does not fit into ${length} digits`);
  return text.padStart(length, '0');
}
