import { verifyConsistency } from '#domain/evidence/proof';
import type { OperatorApi } from '../api/operator-api';
import type { ConsistencyProof } from '../api/shapes';

/** A head that somebody holds: how many entries it covers, and the root over them, 64 lower-case hexadecimal digits. */
export interface Held {
  readonly size: number;
  readonly root: string;
}

/** `cut`: the log has fewer entries than the copy. `fits` brings the proof, for whoever checks it elsewhere. */
export type Compared = { readonly held: Held } & (
  | { readonly kind: 'fits'; readonly later: number; readonly proof: ConsistencyProof }
  | { readonly kind: 'differs' }
  | { readonly kind: 'cut'; readonly present: number }
);

/** How many entries somebody typed, with or without separators of thousands; undefined where it is no whole number from 1. */
export function sizeTyped(typed: string): number | undefined {
  const digits = typed.replace(/[\s.,'’]/g, '');
  const size = /^\d{1,15}$/.test(digits) ? Number(digits) : 0;
  return size >= 1 ? size : undefined;
}

/** The digits of a head as they were typed or pasted, in groups or not; undefined where they are not 64. */
export function rootTyped(typed: string): string | undefined {
  const digits = typed.replace(/[\s:.-]/g, '').toLowerCase();
  return /^[0-9a-f]{64}$/.test(digits) ? digits : undefined;
}

/**
 * Whether the log of now extends a head that is held: reckoned here, from the copy's own root and the api's proof (RFC 9162
 * section 2.1.4.2). What the api says of its own older root counts for nothing.
 */
export async function compareHeld(api: Pick<OperatorApi, 'evidenceHead' | 'evidenceConsistency'>, held: Held): Promise<Compared> {
  const { size: present } = await api.evidenceHead();
  if (held.size > present) return { held, kind: 'cut', present };
  const proof = await api.evidenceConsistency(held.size);
  const fits = verifyConsistency({ older: headOf(held), newer: headOf(proof.newer), proof: proof.proof.map(bytesOf) });
  return fits ? { held, kind: 'fits', later: proof.newer.size - held.size, proof } : { held, kind: 'differs' };
}

const bytesOf = (hex: string): Uint8Array => Uint8Array.from(hex.match(/../g) ?? [], (pair) => Number.parseInt(pair, 16));

const headOf = ({ size, root }: Held) => ({ size, root: bytesOf(root) });
