import { readFileSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { findOperatorByCode, verifyStoredLog, type HeldStatement, type VerifiedLog } from '#backoffice/evidence/verify-stored';
import { closeDatabase, createDatabase, type Database } from '#database/tenant';
import { sha256 } from '#backoffice/evidence/append';
import { leafHash, type TreeHead } from '#domain/evidence/merkle';
import { verifyInclusion } from '#domain/evidence/proof';
import { readCommandConfiguration } from '#runtime/configuration';
import type { TimestampTrust } from '#statement/sign/timestamp';
import { CONNECTION_BUDGET } from '#runtime/connection-budget';
import { configurationOrExit } from '#runtime/lifecycle';
import { attachedFigures, attachedReceipt, type AttachedReceipt } from '#statement/attached-figures';
import { checkSignature, isSound } from '#statement/sign/check-signature';
import { openDatabases } from './databases';
import { CommandFailure, runCommand, say } from './failure';

const USAGE = `npm run verify-log -- --head <statement.pdf or receipt.pdf>
npm run verify-log -- --operator <code> --size <entries> --root <64 hexadecimal digits>`;

/** What is held outside: a head, whose log it belongs to, and the statement that it came with. */
export type Held = { readonly operatorCode: string; readonly head: TreeHead; readonly statement?: HeldStatement; readonly receipt?: HeldReceipt };

/** A receipt for keys whose event lies under its own head; `index` is the place of the entry from 0. */
export type HeldReceipt = { readonly index: number; readonly eventId: string };

/** Reads the command line, and the statement where one is given. */
export async function readHeld(words: readonly string[]): Promise<Held> {
  const { head, operator, size, root } = parseWords(words);
  if (head !== undefined) return heldIn(head, operator);
  if (operator === undefined || size === undefined || root === undefined) throw new CommandFailure(USAGE);
  if (!/^\d{1,15}$/.test(size)) throw new CommandFailure(`--size ${size}: give the number of entries.\n\n${USAGE}`);
  if (!/^[0-9a-f]{64}$/i.test(root)) throw new CommandFailure(`--root ${root}: give 64 hexadecimal digits.\n\n${USAGE}`);
  return { operatorCode: operator, head: { size: Number(size), root: Buffer.from(root, 'hex') } };
}

function parseWords(words: readonly string[]) {
  const text = { type: 'string' } as const;
  try {
    return parseArgs({ args: [...words], options: { head: text, operator: text, size: text, root: text } }).values;
  } catch (error) {
    throw new CommandFailure(`${error instanceof Error ? error.message : String(error)}\n\n${USAGE}`);
  }
}

/** A head out of a file that was changed says nothing, so the signature comes first. */
async function heldIn(path: string, operator: string | undefined): Promise<Held> {
  const pdf = readFile(path);
  const signature = await checkSignature(pdf);
  if (!signature.found) throw new CommandFailure(`${path} carries no signature that can be read (${signature.problem}): nothing in it can be relied on.`);
  if (!isSound(signature.report)) throw new CommandFailure(`The signature of ${path} does not hold: the file was changed after it was signed.`);
  const figures = await attachedFigures(pdf);
  if (figures === undefined) return heldByReceipt(path, await attachedReceipt(pdf));
  const { statementNumber, settlementDigest, evidenceHead } = figures;
  return {
    operatorCode: operator ?? statementNumber.split('-').slice(0, -2).join('-'),
    head: { size: evidenceHead.size, root: Buffer.from(evidenceHead.root, 'hex') },
    statement: { statementNumber, settlementDigest, fileDigest: signature.report.fileDigest },
  };
}

/** The proof in a receipt is checked here; that the log leads to its head is for the log to show. */
function heldByReceipt(path: string, receipt: AttachedReceipt | undefined): Held {
  if (receipt === undefined) throw new CommandFailure(`${path} has no figures attached: it is no statement or receipt of this program.`);
  const { leaf, evidenceHead, inclusionProof, eventId, operatorCode } = receipt;
  const head = { size: evidenceHead.size, root: Buffer.from(evidenceHead.root, 'hex') };
  const hash = leafHash(Buffer.concat([Buffer.from(leaf.salt, 'hex'), Buffer.from(leaf.entry, 'utf8')]), sha256);
  const proof = inclusionProof.map((step) => Buffer.from(step, 'hex'));
  if (!verifyInclusion({ index: leaf.index, leafHash: hash, head, proof }, sha256)) throw new CommandFailure(`The proof in ${path} does not hold: its event does not lie under its head.`);
  return { operatorCode, head, receipt: { index: leaf.index, eventId } };
}

function readFile(path: string): Buffer {
  try {
    return readFileSync(path);
  } catch (error) {
    throw new CommandFailure(`${path} cannot be read: ${(error as Error).message}`);
  }
}

/** Compares the log in the database with what is held. Gives the lines to print, and whether all of it fits. */
export async function verifyHeld(database: Database, held: Held, trust: TimestampTrust = { anchors: [] }): Promise<{ lines: string[]; fits: boolean }> {
  const operator = await findOperatorByCode(database, held.operatorCode);
  if (operator === undefined) throw new CommandFailure(`There is no operator with the code ${held.operatorCode}. Name it with --operator.`);
  const verified = await verifyStoredLog(database, { tenantId: operator.tenantId, heldHeads: [held.head], statement: held.statement, trust });
  const { finding, custody, erasures, settlements, stamps } = verified;
  if (finding.kind !== 'fits') return { fits: false, lines: [`The log of ${operator.name} does not fit.`, sentenceOf(finding)] };
  if (custody.kind !== 'fits') return { fits: false, lines: [`The log of ${operator.name} fits, but the books of keys do not fit it.`, custodySentence(custody)] };
  if (erasures.kind !== 'fits') return { fits: false, lines: [`The log of ${operator.name} fits, but what was erased does not fit it.`, erasureSentence(erasures)] };
  if (settlements.kind !== 'fits') {
    return { fits: false, lines: [`The log of ${operator.name} fits, but the settlements do not fit it.`, settlementSentence(settlements)] };
  }
  const own = held.statement === undefined ? { lines: [], fits: true } : statementLines(held.statement, verified);
  return {
    fits: own.fits && stamps.wrong.length === 0,
    lines: [
      `The log of ${operator.name} holds ${finding.head.size} entries and fits.`,
      `Nothing of the first ${held.head.size}, which the head from outside covers, was changed or dropped.`,
      ...erasureLines(erasures, { heldSize: Math.max(held.head.size, ...stamps.heads.map(({ size }) => size)) }),
      ...stampLines(stamps),
      ...own.lines,
      ...(held.receipt === undefined ? [] : [`Entry ${held.receipt.index + 1} is the event of this receipt, ${held.receipt.eventId}.`]),
    ],
  };
}

const MOST_NAMED = 50;

/**
 * What was erased, and which of it no head from outside covers. Whoever owns the server can change a text and write the entry
 * that says it was erased; under a head that was held before, such an entry can only be a newer one. So those are named.
 */
function erasureLines({ texts, people, entries }: Extract<VerifiedLog['erasures'], { kind: 'fits' }>, { heldSize }: { heldSize: number }): string[] {
  if (texts === 0) return [];
  const all = `Names and signatures that were erased: ${texts}, of ${people === 1 ? 'one person' : `${people} people`}. An entry says of each when and by whom, and nothing else of those texts was changed since.`;
  const newer = entries.filter(({ index }) => index >= heldSize);
  if (newer.length === 0) return [all];
  const named = newer.slice(0, MOST_NAMED).map(({ index, text, erasedBy, erasedAt }) => `  Entry ${index + 1}: ${text}, on ${erasedAt.toISOString()} by ${erasedBy}.`);
  const rest = newer.length > MOST_NAMED ? [`  And ${newer.length - MOST_NAMED} more.`] : [];
  return [all, `Of these, ${newer.length} came after the head from outside. What stood in such a text is no longer proven by it: ask who is named whether they erased it.`, ...named, ...rest];
}

/** Stamps whose token does not hold, and how far those reach that do. */
function stampLines({ wrong, last, holding }: VerifiedLog['stamps']): string[] {
  const failed = wrong.map(({ size, problem }) => `The time stamp of the head over ${size} entries does not hold (${problem}).`);
  if (last === undefined) return failed;
  const whose = last.trusted ? `${last.authority}, whose certificate is trusted here` : `${last.authority}; TIMESTAMP_AUTHORITY_CERTIFICATES names nobody whom to trust, so anybody may have made it and nothing was compared with it`;
  return [...failed, `Time stamps that hold: ${holding}, the last one on the head over ${last.size} entries of ${last.stampedAt.toISOString()} by ${whose}.`];
}

/** Entries are counted from 1 for people. */
function sentenceOf(finding: Exclude<VerifiedLog['finding'], { kind: 'fits' }>): string {
  const entry = finding.first + 1;
  switch (finding.kind) {
    case 'altered':
      return `Entry ${entry} (${finding.leaf.kind} of ${finding.leaf.subjectId}) was changed: it no longer has the hash that is stored beside it.`;
    case 'missing':
      return `Entry ${entry} is missing.`;
    case 'cut':
      return `The log ends before entry ${entry}, though a head covers ${finding.heldSize}: its end was cut off.`;
    case 'rewritten':
      return `Entry ${entry}, or one after it up to ${finding.last + 1}, was replaced together with its hash: it does not lead to the head ${finding.held ? 'from outside' : 'that is stored with the log'}.`;
  }
}

function custodySentence(custody: Exclude<VerifiedLog['custody'], { kind: 'fits' }>): string {
  switch (custody.kind) {
    case 'differs':
      return `Entry ${custody.index + 1} about event ${custody.eventId} is not what the books say of it now: they were changed.`;
    case 'erased-by-nobody':
      return `The reason in event ${custody.eventId} (entry ${custody.index + 1}) counts as erased, but no entry says who erased it: it was changed past the program.`;
    case 'without-entry':
      return `Event ${custody.eventId} is in the books, and the log does not hold it as the books do: it was put there past the program.`;
    case 'misplaced':
      return `Copy ${custody.keyCopyId} is elsewhere in the books than its events say.`;
  }
}

function erasureSentence(erasures: Exclude<VerifiedLog['erasures'], { kind: 'fits' }>): string {
  switch (erasures.kind) {
    case 'differs':
      return `Entry ${erasures.index + 1} about ${erasures.text} is not what is recorded of its erasing now: that was changed.`;
    case 'without-entry':
      return `The erasing of ${erasures.text} is recorded, and the log does not hold it: it was put there past the program.`;
    case 'changed':
      return `${erasures.text} is not what its erasing left (entry ${erasures.index + 1}): it was changed past the program.`;
    case 'signature':
      return `A signature on event ${erasures.eventId} is not as it was given, and no entry says that it was erased: it was changed past the program.`;
  }
}

const VOUCHED = { settlement: 'settlement', statement: 'the statement of settlement', reversal: 'the reversal of settlement', revocation: 'revocation' } as const;

function settlementSentence(finding: Exclude<VerifiedLog['settlements'], { kind: 'fits' }>): string {
  const what = `${VOUCHED[finding.about]} ${finding.id}`;
  if (finding.kind === 'differs') return `Entry ${finding.index + 1} about ${what} is not what is stored of it now: it was changed.`;
  return `${what.charAt(0).toUpperCase()}${what.slice(1)} is stored, and the log does not hold it: it was put there past the program.`;
}

function statementLines(statement: HeldStatement, { numberedAt, issuedAt }: VerifiedLog): { lines: string[]; fits: boolean } {
  const { statementNumber } = statement;
  const lines = [
    numberedAt === undefined ? `No entry holds ${statementNumber} with the figures of this file.` : `Entry ${numberedAt + 1} is the settlement of ${statementNumber}, with the figures of this file.`,
    issuedAt === undefined ? 'No entry holds this very file.' : `Entry ${issuedAt + 1} is this very file.`,
  ];
  return { lines, fits: numberedAt !== undefined && issuedAt !== undefined };
}

/** `npm run verify-log`: exit status 0 when everything fits, 1 when something does not. */
async function main(): Promise<void> {
  const held = await readHeld(process.argv.slice(2));
  const configuration = configurationOrExit(readCommandConfiguration(process.env));
  const databases = await openDatabases(configuration);
  try {
    const database = createDatabase({ appUrl: databases.urlFor('app'), poolSize: CONNECTION_BUDGET.command, applicationName: 'latchledger verify-log' });
    try {
      const { lines, fits } = await verifyHeld(database, held, configuration.timestampTrust);
      lines.forEach(say);
      if (!fits) process.exitCode = 1;
    } finally {
      await closeDatabase(database);
    }
  } finally {
    await databases.close();
  }
}

if (require.main === module) runCommand(main, USAGE);
