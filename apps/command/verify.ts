import { readFileSync } from 'node:fs';
import { basename } from 'node:path';
import { parseArgs } from 'node:util';
import { readCertificates } from '#runtime/timestamp-authority';
import type { TimestampTrust } from '#statement/sign/timestamp';
import { comparisonsOf } from '#statement/verify/compare-heads';
import { isFingerprint, readableFingerprint } from '#statement/verify/fingerprint';
import { summaryOf } from '#statement/verify/report';
import { holdsWhole, LARGEST_STATEMENT_BYTES, verifyStatement, type Finding, type Verdict } from '#statement/verify/verify-statement';
import { standingAddress } from '#statement/verify/standing-question';
import { headsSentence, isUntouched, sentenceOf, standingSentences, verifierWordsOf } from '#statement/verify/words';
import { askStanding } from './ask-standing';
import { CommandFailure, runCommand, say } from './failure';

/** As everything that commands print. */
const words = verifierWordsOf('en');

const USAGE = `npm run verify -- <statement.pdf> [<another.pdf> ...] [--fingerprint <of the operator's certificate, as given in print>] [--ask <address of the operator's server>] [--stamps-by <PEM file of certificates>]

Nothing goes over a network, but with --ask: then the server is asked whether the statement was reversed, or its certificate revoked, since. With --stamps-by a time stamp has to be by an authority whose certificate leads to one of the file.`;

/** Checks files without any database, and without a network unless a server is to be asked. Gives the lines to print, and whether everything holds. */
export async function verifyFiles(given: readonly string[]): Promise<{ lines: string[]; holds: boolean }> {
  const { paths, fingerprint, server, trust } = readGiven(given);
  const lines: string[] = [];
  const verdicts: Verdict[] = [];
  let holds = true;
  for (const path of paths) {
    const verdict = await verifyStatement(readFile(path), trust === undefined ? {} : { trust });
    const pinned = fingerprint === undefined || verdict.signature === undefined ? undefined : isFingerprint(fingerprint, verdict.signature.certificateFingerprint);
    const standing = server === undefined ? { lines: standingLines(verdict), holds: true } : await askedLines(server, verdict);
    lines.push(...linesOf(path, verdict), ...standing.lines, ...signerLines(verdict, pinned), '');
    holds = holds && pinned !== false && standing.holds && holdsWhole(verdict);
    verdicts.push(verdict);
  }
  const compared = comparisonsOf(verdicts);
  return {
    lines: [...lines, ...compared.map(({ older, newer, compared: heads }) => headsSentence(heads, { older: older.number, newer: newer.number }, words))],
    holds: holds && compared.every(({ compared: heads }) => heads.kind === 'extends'),
  };
}

function readGiven(given: readonly string[]): { paths: string[]; fingerprint: string | undefined; server: string | undefined; trust: TimestampTrust | undefined } {
  let parsed;
  try {
    parsed = parseArgs({ args: [...given], options: { fingerprint: { type: 'string' }, ask: { type: 'string' }, 'stamps-by': { type: 'string' } }, allowPositionals: true });
  } catch (error) {
    throw new CommandFailure(`${error instanceof Error ? error.message : String(error)}\n\n${USAGE}`);
  }
  const { fingerprint, ask, 'stamps-by': stampsBy } = parsed.values;
  if (parsed.positionals.length === 0) throw new CommandFailure(USAGE);
  if (fingerprint !== undefined && isFingerprint(fingerprint, '') === undefined) throw new CommandFailure(`--fingerprint ${fingerprint}: give 64 hexadecimal digits.\n\n${USAGE}`);
  if (ask !== undefined && !(URL.canParse(ask) && /^https?:$/.test(new URL(ask).protocol))) throw new CommandFailure(`--ask ${ask}: give an address like https://ledger.example.\n\n${USAGE}`);
  const certificates = stampsBy === undefined ? undefined : readCertificates(stampsBy);
  if (certificates?.ok === false) throw new CommandFailure(`--stamps-by ${certificates.message}`);
  return { paths: parsed.positionals, fingerprint, trust: certificates && { anchors: certificates.certificates }, server: ask === undefined ? undefined : new URL(ask).origin };
}

function readFile(path: string): Uint8Array {
  let bytes: Buffer;
  try {
    bytes = readFileSync(path);
  } catch (error) {
    throw new CommandFailure(`${path} cannot be read: ${(error as Error).message}`);
  }
  if (bytes.length > LARGEST_STATEMENT_BYTES) throw new CommandFailure(`${path} has ${bytes.length} bytes: no statement is that large.`);
  return bytes;
}

const MARKS = { true: 'holds', false: 'FAILS', unknown: 'open' } as const;

function linesOf(path: string, { findings, statement }: Verdict): string[] {
  const isFirst = statement?.earlierHead === undefined;
  const line = (finding: Finding): string => `  ${MARKS[`${finding.holds}`].padEnd(6)} ${words.checks[finding.check].title}: ${sentenceOf(finding, { isFirst, words })}`;
  return [basename(path), ...(statement === undefined ? [] : summaryOf(statement, words).map(({ label, value }) => `  ${label}: ${value}`)), ...findings.map(line)];
}

/** Where it is told whether the statement was reversed since: a question to the operator, which no file answers. */
function standingLines({ statement, signature }: Verdict): string[] {
  const { standingQuestion: question, document } = statement ?? {};
  const address = document?.verificationAddress;
  if (question === undefined || address === undefined || !URL.canParse(address)) return [];
  return [`  Whether it was reversed, or its certificate revoked, since: ${standingAddress({ server: new URL(address).origin, question, fingerprint: signature?.certificateFingerprint })}`];
}

/** What the server says now; it holds nothing that anybody could prove. */
async function askedLines(server: string, { statement, signature }: Verdict): Promise<{ lines: string[]; holds: boolean }> {
  const digest = statement?.standingQuestion;
  if (digest === undefined) return { lines: ['  Nothing was asked: the file gives no question for it.'], holds: false };
  const answer = await askStanding(server, { digest, ...(signature === undefined ? {} : { certificate: signature.certificateFingerprint }) });
  if (!answer.ok) return { lines: [`  ${server} was asked whether it was reversed since: ${answer.why}.`], holds: false };
  const { standing } = answer;
  const sentences = standingSentences({ ...standing, revokedFrom: standing.revokedFrom ?? '' }, words);
  return { lines: [`  ${server} says now: ${sentences.join(' ')}`], holds: isUntouched(standing) };
}

function signerLines({ signature }: Verdict, pinned: boolean | undefined): string[] {
  if (signature === undefined) return [];
  const who = `  Signed by who calls itself ${signature.signerName}, with the certificate ${readableFingerprint(signature.certificateFingerprint)}.`;
  if (pinned === undefined) return [who, '  Whether that is the operator, the fingerprint tells that you were given in print: compare the two, or give it with --fingerprint.'];
  return [who, pinned ? '  It is the certificate whose fingerprint you gave.' : '  It is NOT the certificate whose fingerprint you gave.'];
}

/** `npm run verify`: exit status 0 when everything holds, 1 when something does not or cannot be told. Without a fingerprint it is told
 * whose certificate signed, and nothing more is known of the signer. */
async function main(): Promise<void> {
  const { lines, holds } = await verifyFiles(process.argv.slice(2));
  lines.forEach(say);
  say('Whether a statement was reversed, or its certificate revoked, since, only the operator can say.');
  if (!holds) process.exitCode = 1;
}

if (require.main === module) runCommand(main, USAGE);
