import { createHash } from 'node:crypto';
import type { TenantTransaction } from '#database/tenant';
import { canonicalJson, parseCanonicalJson } from '#domain/evidence/canonical-json';
import type { StoredLeaf } from '../evidence/verify-log';
import { selectErasures, selectSignaturesAfter, type StoredErasure, type StoredSignature } from './erasure.sql';
import { erasureEntry } from './leaf';

/** An entry about a text that was changed, as it lies in the log. */
export type LoggedErasure = { readonly index: number; readonly erasureId: string; readonly entry: string; readonly text: string; readonly digestBefore: string; readonly digestAfter: string | null };

/** The entries about one text, in their order. */
export type LoggedErasures = ReadonlyMap<string, readonly LoggedErasure[]>;

/**
 * Where erased texts and the evidence log part: `differs` names an entry, counted from 0, whose record is gone or another;
 * `without-entry` a record that the log does not hold; `changed` a text that is not what its last erasing left, or was
 * another before it than the one before left; `signature` one that is not as it was given, or erased by nobody.
 */
export type ErasureFinding =
  | { readonly kind: 'fits'; readonly texts: number; readonly people: number; readonly entries: readonly MadeErasure[] }
  | { readonly kind: 'differs'; readonly index: number; readonly text: string }
  | { readonly kind: 'without-entry'; readonly text: string }
  | { readonly kind: 'changed'; readonly index: number; readonly text: string }
  | { readonly kind: 'signature'; readonly eventId: string };

/** An entry that fits, by whom and when the text was erased as it says. */
export type MadeErasure = { readonly index: number; readonly text: string; readonly erasedBy: string; readonly erasedAt: Date };

/** One name for a text wherever it is looked up. */
export const textName = (text: { readonly table: string; readonly column: string; readonly row: string }): string => `${text.table}.${text.column} of ${text.row}`;

/** What an entry says; an entry that is none of its kind speaks of no text. */
export function loggedErasure(leaf: StoredLeaf): LoggedErasure {
  const entry = Buffer.from(leaf.entry).toString('utf8');
  const said = fieldsOf(entry);
  return {
    index: leaf.index,
    erasureId: leaf.subjectId,
    entry,
    text: textName({ table: String(said['table']), column: String(said['column']), row: String(said['row']) }),
    digestBefore: String(said['digestBefore']),
    digestAfter: typeof said['digestAfter'] === 'string' ? said['digestAfter'] : null,
  };
}

export function erasuresByText(logged: readonly LoggedErasure[]): LoggedErasures {
  const byText = new Map<string, LoggedErasure[]>();
  for (const erasure of logged) byText.set(erasure.text, [...(byText.get(erasure.text) ?? []), erasure]);
  return byText;
}

/**
 * Makes each entry about an erased text anew from its record, follows each text from one erasing to the next, and digests
 * what is left of it now. So an erased text is vouched for as every other, and an erasing that the log does not hold is none.
 */
export async function compareErasures(tx: TenantTransaction, logged: LoggedErasures): Promise<ErasureFinding> {
  const records = new Map((await selectErasures(tx)).map((row) => [row.id, row]));
  const people = new Set([...records.values()].map((row) => row.person_id)).size;
  const entries = [...logged.values()].flat().sort((left, right) => left.index - right.index);
  for (const entry of entries) {
    const record = records.get(entry.erasureId);
    if (record === undefined || canonicalJson(erasureEntry(record)) !== entry.entry) return { kind: 'differs', index: entry.index, text: entry.text };
  }
  const held = new Set(entries.map((entry) => entry.erasureId));
  for (const record of records.values()) {
    if (!held.has(record.id)) return { kind: 'without-entry', text: textName({ table: record.table_name, column: record.column_name, row: record.row_id }) };
  }
  for (const ofText of logged.values()) {
    const wrong = firstChanged(ofText, records);
    if (wrong !== undefined) return { kind: 'changed', index: wrong.index, text: wrong.text };
  }
  const wrong = await wrongSignature(tx, logged);
  if (wrong !== null) return { kind: 'signature', eventId: wrong };
  const made = entries.flatMap(({ index, text, erasureId }): MadeErasure[] => {
    const record = records.get(erasureId);
    return record === undefined ? [] : [{ index, text, erasedBy: record.erased_by, erasedAt: record.erased_at }];
  });
  return { kind: 'fits', texts: entries.length, people, entries: made };
}

/** The erasing after which a text was changed in another way. */
function firstChanged(ofText: readonly LoggedErasure[], records: ReadonlyMap<string, StoredErasure>): LoggedErasure | undefined {
  return ofText.find((erasure, place) => {
    const next = ofText[place + 1];
    if (next !== undefined) return isLasting(next, records) && next.digestBefore !== erasure.digestAfter;
    const record = records.get(erasure.erasureId);
    if (record === undefined || erasure.digestAfter === null) return false;
    if (record.after_salt === null) return true;
    return record.said_now !== null && saltedDigest(record.after_salt, record.said_now) !== erasure.digestAfter;
  });
}

/** A name of a place may be written anew between two erasings; a reason may not. */
function isLasting(erasure: LoggedErasure, records: ReadonlyMap<string, StoredErasure>): boolean {
  return records.get(erasure.erasureId)?.said_now !== null;
}

async function wrongSignature(tx: TenantTransaction, logged: LoggedErasures): Promise<string | null> {
  for (let after: { eventId: string; side: string } | null = null; ; ) {
    const page: StoredSignature[] = await selectSignaturesAfter(tx, { after, limit: PAGE_SIZE });
    const wrong = page.find((signature) => !signatureHolds(signature, logged));
    if (wrong !== undefined) return wrong.event_id;
    const last = page.at(-1);
    if (last === undefined || page.length < PAGE_SIZE) return null;
    after = { eventId: last.event_id, side: last.side };
  }
}
const PAGE_SIZE = 500;

function signatureHolds(stored: StoredSignature, logged: LoggedErasures): boolean {
  const digest = stored.digest.toString('hex');
  if (stored.erased) return logged.get(textName({ table: 'custody_signature', column: 'signature', row: `${stored.event_id}/${stored.side}` }))?.at(-1)?.digestBefore === digest;
  if (stored.salt === null || stored.signature === null) return false;
  try {
    return saltedDigest(stored.salt, canonicalJson({ name: stored.signed_name, signature: parseCanonicalJson(stored.signature) })) === digest;
  } catch {
    return false;
  }
}

function saltedDigest(salt: Uint8Array, text: string): string {
  return createHash('sha256').update(salt).update(text, 'utf8').digest('hex');
}

function fieldsOf(entry: string): Record<string, unknown> {
  try {
    const said: unknown = JSON.parse(entry);
    return typeof said === 'object' && said !== null ? (said as Record<string, unknown>) : {};
  } catch {
    return {};
  }
}
