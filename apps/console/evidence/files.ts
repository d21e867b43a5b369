import type { ConsistencyProof, EvidenceHead } from '../api/shapes';
import { words } from '../words/words';

interface Office {
  readonly code: string;
  readonly name: string;
}

const text = words.evidence;

/** The command by which whoever looks after the server holds the log against a head. */
export const commandFor = (office: Office, { size, root }: { readonly size: number; readonly root: string }): string =>
  `npm run verify-log -- --operator ${office.code.toUpperCase()} --size ${size} --root ${root}`;

/** A copy of the head to be kept by somebody outside: both figures, and what they are for. */
export function copyFile(office: Office, head: EvidenceHead, day: string): { blob: Blob; fileName: string } {
  const lines = [text.copy.title({ office: office.name, day }), '', text.copy.keep, '', `${text.check.size}: ${head.size}`, `${text.head}: ${head.root}`, '', text.copy.command, `  ${commandFor(office, head)}`, ''];
  return { blob: new Blob([lines.join('\n')], { type: 'text/plain;charset=utf-8' }), fileName: `log-head-${office.code}-${day}.txt` };
}

/** The proof between two heads, as any program that knows the standard reads it. */
export function proofFile(office: Office, { older, newer, proof }: ConsistencyProof): { blob: Blob; fileName: string } {
  const body = { operator: { code: office.code, name: office.name }, standard: 'RFC 9162, section 2.1.4.2, SHA-256', older, newer, proof };
  return { blob: new Blob([`${JSON.stringify(body, null, 2)}\n`], { type: 'application/json' }), fileName: `log-proof-${office.code}-${older.size}-${newer.size}.json` };
}
