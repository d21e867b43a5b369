import { createHash } from 'node:crypto';
import { pipeline, Readable, Transform } from 'node:stream';
import { done, refused, type Outcome } from '#contracts/outcome';
import { withTenant } from '#database/tenant';
import { ZipFile } from 'yazl';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { BEING_COUNTED } from '../collection/blind';
import { perform } from '../perform';
import { sitesSealed } from '../settlement/sealed';
import { readArchived, readPdf, readRunForArchive, type ArchivedRow } from './archive.sql';

/** A file of known length, from a byte on: who sends it can let a broken download go on. */
export type StatementArchive = {
  readonly bytes: Readable;
  readonly fileName: string;
  readonly resumable: { readonly etag: string; readonly sizeBytes: number; readonly startByte: number };
};

/** From which byte on somebody asks, and of which archive they have what comes before; `null`: whichever it is. */
export type ArchiveRange = { readonly startByte: number; readonly etag: string | null };

const RETRY_AFTER_SECONDS = 2;

/**
 * All issued statements of a close as one ZIP file, by number; those that were reversed lie in a folder of their own, so that no
 * number is missing. The files are read one by one while they are sent, so a month of any size takes the memory of one. The same
 * statements give the same bytes: a download that broke off goes on where it ended, and begins anew when there are others by now.
 * While statements are still being made there is no archive; one that could not be made keeps nobody from the others, and its number
 * is named in a file among them; so are those that the caller is not shown while they count there.
 */
export async function archiveStatements(
  deps: Backoffice,
  caller: Caller,
  query: { readonly id: string; readonly range: ArchiveRange | null },
): Promise<Outcome<StatementArchive>> {
  const found = await perform(deps, caller, 'statement-archive.read', async (unit) => {
    const { tx } = unit;
    const run = await readRunForArchive(tx, query.id);
    if (run === undefined) return refused('not-found');
    if (run.in_preparation) return refused('statement-in-preparation', { retryAfterSeconds: RETRY_AFTER_SECONDS });
    const issued = await readArchived(tx, query.id);
    const sealed = await sitesSealed(unit, caller, [...new Set(issued.map((row) => row.site_id))]);
    const [rows, heldBack] = [issued.filter((row) => !sealed.includes(row.site_id)), issued.filter((row) => sealed.includes(row.site_id))];
    if (rows.length === 0 && heldBack.length > 0) return refused('being-counted', { detail: BEING_COUNTED });
    return rows.length === 0 ? refused('statement-not-issued') : done({ startsOn: run.starts_on, rows, notMade: run.not_made, heldBack: heldBack.map(({ number }) => number) });
  });
  if (!found.ok) return found;
  const { startsOn, ...contents } = found.value;
  const etag = etagOf(contents);
  const { range } = query;
  const wanted = range !== null && (range.etag === null || range.etag === etag) ? range.startByte : 0;
  const { bytes, sizeBytes, startByte } = await zipped(contents, wanted, async ({ settlement_id: settlementId }) => {
    const pdf = await withTenant(deps.database, caller, (tx) => readPdf(tx, settlementId));
    if (pdf === undefined) throw new Error(`the statement of ${settlementId} is gone`);
    return pdf;
  });
  return done({ bytes, fileName: `statements-${startsOn}.zip`, resumable: { etag, sizeBytes, startByte } });
}

/** Which statements the archive holds and where, and which numbers it names for which reason, in one value. */
export function etagOf({ rows, notMade, heldBack }: Contents): string {
  const hash = createHash('sha256').update(JSON.stringify([notMade, heldBack]));
  for (const row of rows) hash.update(nameOf(row)).update(row.pdf_digest);
  return `"${hash.digest('hex').slice(0, 32)}"`;
}

function nameOf({ number, reversed }: Pick<ArchivedRow, 'number' | 'reversed'>): string {
  return `${reversed ? 'reversed/' : ''}statement-${number}.pdf`;
}

type Contents = { readonly rows: readonly ArchivedRow[]; readonly notMade: readonly string[]; readonly heldBack: readonly string[] };

const NOT_MADE_LEAD = 'These statements have a number and could not be printed or signed yet. The month end says why.\r\n';
const HELD_BACK_LEAD = 'A collection at these sites waits that you have a hand in, and their statements say what meters counted: they are for you when it is accepted.\r\n';

/**
 * Signed files do not get smaller by compression, and uncompressed the length is known before the first byte. The 64-bit form of
 * the end record (APPNOTE 4.3.14) is asked for always: the library reckons the length by another limit than it writes by.
 */
async function zipped({ rows, notMade, heldBack }: Contents, wanted: number, read: (row: ArchivedRow) => Promise<Buffer>): Promise<{ bytes: Readable; sizeBytes: number; startByte: number }> {
  const zip = new ZipFile();
  const [first] = rows;
  for (const [name, lead, numbers] of [['not-made.txt', NOT_MADE_LEAD, notMade], ['held-back.txt', HELD_BACK_LEAD, heldBack]] as const) {
    if (first === undefined || numbers.length === 0) continue;
    zip.addBuffer(Buffer.from(lead + numbers.map((number) => `${number}\r\n`).join('')), name, { compress: false, mtime: first.stored_at, forceDosTimestamp: true });
  }
  for (const row of rows) {
    zip.addReadStreamLazy(nameOf(row), { compress: false, size: row.size_bytes, mtime: row.stored_at, forceDosTimestamp: true }, (give) => {
      // Failing here ends the download; there is no answer any more that could say why.
      read(row).then((pdf) => give(null, Readable.from([pdf])), (error: unknown) => zip.emit('error', error));
    });
  }
  const sizeBytes = await new Promise<number>((resolve) => zip.end({ forceZip64Format: true, comment: '' }, (...[size]: number[]) => resolve(size ?? 0)));
  const startByte = wanted < sizeBytes ? wanted : 0;
  const bytes = skipping(startByte);
  zip.on('error', (error: Error) => bytes.destroy(error));
  pipeline(zip.outputStream, bytes, () => undefined);
  return { bytes, sizeBytes, startByte };
}

/** Passes on what comes after the first bytes. */
function skipping(byteCount: number): Transform {
  let left = byteCount;
  return new Transform({
    transform(chunk: Buffer, _encoding, next) {
      const skipped = Math.min(left, chunk.length);
      left -= skipped;
      next(null, skipped === 0 ? chunk : chunk.subarray(skipped));
    },
  });
}
