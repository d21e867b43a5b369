/**
 * A customer credit transfer initiation, ISO 20022 pain.001.001.09: element names, order and lengths as in the message
 * definition; within it, for euro, the usage rules of the SEPA credit transfer (EPC132-08).
 */
import type { LocalDate } from '#domain/calendar/local-date';
import { formatMinor } from '#domain/money/amount';
import type { CurrencyCode } from '#domain/money/currency';
import type { IbanAccount } from '#domain/payment-file/bank-account';
import { euroReference, euroText } from '#domain/payment-file/bank-text';
import { sumOfTransfers, transferProblems, type PaymentFile, type Transfer } from '#domain/payment-file/types';

export interface CreditTransferOrder {
  /** Up to 35 characters, never used before: banks refuse a file that they have seen. */
  readonly messageId: string;
  /** Local time, `2026-11-26T14:30:00`. */
  readonly createdAt: string;
  readonly executeOn: LocalDate;
  readonly currency: CurrencyCode;
  readonly payer: IbanAccount;
  readonly transfers: readonly Transfer<IbanAccount>[];
}

const namespace = 'urn:iso:std:iso:20022:tech:xsd:pain.001.001.09';

/** EPC132-08: names have at most 70 characters, although the message has room for 140. */
const NAME_LENGTH = 70;
const REMITTANCE_LENGTH = 140;
const REFERENCE_LENGTH = 35;
/** EPC132-08: 999,999,999.99 euro at most. Elsewhere the message sets the limit: 18 digits. */
const LARGEST_EURO_MINOR = 99_999_999_999n;
const LARGEST_MINOR = 999_999_999_999_999_999n;

const nameOf = ({ holderName }: IbanAccount): string => euroText(holderName, NAME_LENGTH);

/** The file, or what stands in its way. Texts come in Latin letters; what banks do not take is left out, what is too long cut. */
export function creditTransferFile(order: CreditTransferOrder): PaymentFile {
  const problems = transferProblems(order.transfers, { largestMinor: order.currency === 'EUR' ? LARGEST_EURO_MINOR : LARGEST_MINOR, nameOf });
  if (nameOf(order.payer) === '') problems.push({ code: 'name-not-writable', index: null });
  if (problems.length > 0) return { ok: false, problems };
  const sumMinor = sumOfTransfers(order.transfers);
  const counted = [element('NbOfTxs', String(order.transfers.length)), element('CtrlSum', formatMinor(sumMinor, order.currency))];
  const messageId = euroReference(order.messageId, REFERENCE_LENGTH);
  const header = element('GrpHdr', [element('MsgId', messageId), element('CreDtTm', order.createdAt), ...counted, element('InitgPty', [element('Nm', nameOf(order.payer))])]);
  const text = `<?xml version="1.0" encoding="UTF-8"?>\n<Document xmlns="${namespace}">\n${element('CstmrCdtTrfInitn', [header, instruction(order, { messageId, counted })])}\n</Document>\n`;
  return { ok: true, text, sums: { transfers: order.transfers.length, sumMinor, entryHash: null } };
}

function instruction(order: CreditTransferOrder, head: { readonly messageId: string; readonly counted: readonly string[] }): string {
  const isEuro = order.currency === 'EUR';
  return element('PmtInf', [
    element('PmtInfId', head.messageId),
    element('PmtMtd', 'TRF'),
    ...head.counted,
    ...(isEuro ? [element('PmtTpInf', [element('SvcLvl', [element('Cd', 'SEPA')])])] : []),
    element('ReqdExctnDt', [element('Dt', order.executeOn)]),
    element('Dbtr', [element('Nm', nameOf(order.payer))]),
    element('DbtrAcct', [accountId(order.payer)]),
    element('DbtrAgt', [institution(order.payer)]),
    element('ChrgBr', isEuro ? 'SLEV' : 'SHAR'),
    ...order.transfers.map((transfer) => transferElement(transfer, order.currency)),
  ]);
}

function transferElement(transfer: Transfer<IbanAccount>, currency: CurrencyCode): string {
  const remittance = wholeWords(euroText(transfer.remittance, REMITTANCE_LENGTH + 1));
  return element('CdtTrfTxInf', [
    element('PmtId', [element('EndToEndId', euroReference(transfer.id, REFERENCE_LENGTH))]),
    element('Amt', [`<InstdAmt Ccy="${currency}">${formatMinor(transfer.amountMinor, currency)}</InstdAmt>`]),
    // The bank of the payee follows from the IBAN within the euro area, so it is named only where it is known.
    ...(transfer.payee.bic === null ? [] : [element('CdtrAgt', [institution(transfer.payee)])]),
    element('Cdtr', [element('Nm', nameOf(transfer.payee))]),
    element('CdtrAcct', [accountId(transfer.payee)]),
    ...(remittance === '' ? [] : [element('RmtInf', [element('Ustrd', remittance)])]),
  ]);
}

/** Half a statement number would name another statement: the last word goes as a whole. */
function wholeWords(text: string): string {
  return text.length <= REMITTANCE_LENGTH ? text : text.slice(0, Math.max(text.lastIndexOf(' '), 0)) || text.slice(0, REMITTANCE_LENGTH);
}

function accountId({ iban }: IbanAccount): string {
  return element('Id', [element('IBAN', iban)]);
}

/** EPC132-08: where the identifier of the payer's bank is not known, it is said so in this one word. */
function institution({ bic }: IbanAccount): string {
  return element('FinInstnId', [bic === null ? element('Othr', [element('Id', 'NOTPROVIDED')]) : element('BICFI', bic)]);
}

/** Of the characters that may get here only the apostrophe and none of `< > & "` is special in XML, so nothing is escaped. */
function element(name: string, content: string | readonly string[]): string {
  return `<${name}>${typeof content === 'string' ? content : content.join('')}</${name}>`;
}
