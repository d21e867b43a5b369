import { z } from 'zod';
import { storedInputsSchema, storedResultSchema } from './settlement-document';
import { storedDate, storedId, storedInteger, storedText } from './stored-values';

/**
 * What is attached to a statement for machines: everything from which its receiver can compute its figures and set its page
 * anew, and nothing else. A list of what may go out: no names of staff, no expected cash, no variance, no bank details.
 */
const hash = z.string().regex(/^[0-9a-f]{64}$/);

/** How many entries of the operator's log a head covers, and the root over them (RFC 9162). */
const head = z.strictObject({ size: z.int().min(0), root: hash });

const party = z.strictObject({ name: storedText, addressLines: z.array(storedText).max(20), registration: storedText.exactOptional() });

/** What is printed beside the figures; names by the id that the figures use. */
export const statementPageSchema = z.strictObject({
  /** By which setting of the page: another one would set the same figures otherwise. */
  version: z.int().min(1),
  operator: party,
  site: party.extend({ code: storedText }),
  payee: party.extend({ partyId: storedId }),
  partyNames: z.record(storedId, storedText),
  games: z.record(storedId, storedText),
  issuedAt: z.iso.datetime({ offset: true }),
  locale: z.string().min(2).max(35),
  paper: z.enum(['A4', 'Letter']),
  earlierStatements: z.record(storedId, z.strictObject({ statementNumber: storedText, reason: storedText })),
  carriedFrom: z.record(storedId, storedText),
  payment: storedText.exactOptional(),
  /** What a receiver should know, as sentences of the page. From page version 3 on they follow from the settlement and from `notRead`. */
  cautions: z.array(storedText).max(20),
  /** Machines that were counted at least once without a reading of any of their meters. */
  notRead: z.array(storedId).max(2000).exactOptional(),
  /** What meters showed at the last count of the period, and at the reading before its first; no values in money. */
  readings: z.array(z.strictObject({ machineId: storedId, meter: storedText, beforeValue: storedInteger.exactOptional(), lastValue: storedInteger, readOn: storedDate })).max(5000).exactOptional(),
  /** Periods of the agreement before this one, the oldest first, as they were issued. */
  recent: z.array(z.strictObject({ firstDay: storedDate, lastDay: storedDate, takingsMinor: storedInteger, payableMinor: storedInteger })).max(11).exactOptional(),
  /** Where the operator has statements checked. */
  verificationAddress: z.string().regex(/^https?:\/\/[!-~]{1,150}$/).exactOptional(),
  /** By what the operator is asked whether the statement was reversed since. */
  standing: z.strictObject({ operatorId: z.string().regex(/^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/), salt: z.string().regex(/^[0-9a-f]{32}$/) }).exactOptional(),
});

/** The canonical settlement document, whose digest is printed and lies in the log. */
export const attachedSettlementSchema = z.strictObject({
  format: z.literal(1),
  settlementId: storedId,
  number: storedText,
  issuedOn: storedDate,
  inputs: storedInputsSchema,
  result: storedResultSchema,
});

/** The format of what is attached where the signature is not stamped. */
export const UNSTAMPED_ATTACHMENT_FORMAT = 2;
/** The format of what is attached where it is. */
export const STAMPED_ATTACHMENT_FORMAT = 3;
/** The highest format that is known here. */
export const NEWEST_ATTACHMENT_FORMAT = STAMPED_ATTACHMENT_FORMAT;

export const statementAttachmentSchema = z.strictObject({
  /** 3 where the signature is stamped, so that a reader who knows nothing of stamps tells it from one that was tampered with; some of the first stamped ones say 2. */
  format: z.union([z.literal(UNSTAMPED_ATTACHMENT_FORMAT), z.literal(STAMPED_ATTACHMENT_FORMAT)]),
  statementNumber: storedText,
  /** The log before the batch in which this statement was numbered. */
  evidenceHead: head,
  /** The head on the statement before this one of the same agreement, and the proof (RFC 9162 2.1.4) that this one extends it. */
  earlierHead: head.extend({ statementNumber: storedText, proof: z.array(hash).max(64) }).nullable(),
  /** SHA-256 of the canonical JSON (RFC 8785) of `settlement`. */
  settlementDigest: hash,
  settlement: attachedSettlementSchema,
  page: statementPageSchema,
  /** The signature carries a time stamp (RFC 3161), as an attribute that it does not cover: in a file without one, it was taken out. */
  isStamped: z.literal(true).exactOptional(),
});

export type StatementPage = z.output<typeof statementPageSchema>;
export type StatementAttachment = z.output<typeof statementAttachmentSchema>;
