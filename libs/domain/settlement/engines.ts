/**
 * Which rules computed a settlement. A stored settlement names the engine's version and is computed again by the same
 * one: when a rule changes, the new rules get the next number here and the old path stays.
 */
import { engineVersion, settle, type SettleOptions } from '#domain/settlement/settle';
import type { SettlementInputs, SettlementResult } from '#domain/settlement/types';

export type Engine = (inputs: SettlementInputs, options?: SettleOptions) => SettlementResult;

const engines: ReadonlyMap<number, Engine> = new Map<number, Engine>([[engineVersion, (inputs, options) => settle(inputs, options)]]);

/** The engine of a stored settlement, or undefined where this program is older than the document. */
export function engineOf(version: number): Engine | undefined {
  return engines.get(version);
}
