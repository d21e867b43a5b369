import { createHash } from 'node:crypto';
import { engineOf } from '#domain/settlement/engines';
import type { SettlementInputs } from '#domain/settlement/inputs';
import type { SettlementResult } from '#domain/settlement/result';
import { settle } from '#domain/settlement/settle';
import { documentText } from './document-text';
import { carriesOf, type Carries } from './inputs/stored';

/** A settlement as it is stored. Texts are canonical JSON; the digests are SHA-256 of their UTF-8 bytes. */
export type ComputedSettlement = {
  readonly inputs: SettlementInputs;
  readonly inputsText: string;
  readonly inputsDigest: Buffer;
  readonly result: SettlementResult;
  readonly resultText: string;
  readonly resultDigest: Buffer;
};

/**
 * Settles: the one path of preview, close and recompute. Stored without explanations, which are computed again from the
 * inputs when somebody asks: they would double what is stored, and say nothing that the inputs do not. Takes inputs that
 * were loaded, and so were found fit.
 */
export function computeSettlement(inputs: SettlementInputs): ComputedSettlement {
  const inputsText = documentText({ ...inputs });
  const result = settle(inputs, { explain: false });
  const resultText = documentText({ ...result });
  return { inputs, inputsText, inputsDigest: sha256Of(inputsText), result, resultText, resultDigest: sha256Of(resultText) };
}

/**
 * The same settlement with explanations, by the engine that computed it. Undefined where this program does not have that
 * engine any more, or it says something else than is stored: then the stored figures stand without explanations.
 */
export function explainSettlement(stored: { inputs: SettlementInputs; resultText: string; engineVersion: number }): SettlementResult | undefined {
  const explained = engineOf(stored.engineVersion)?.(stored.inputs, { explain: true, inFull: true });
  if (explained === undefined) return undefined;
  return documentText(withoutExplanations(explained)) === stored.resultText ? explained : undefined;
}

function withoutExplanations(result: SettlementResult): { readonly [name: string]: unknown } {
  const bare = (lines: SettlementResult['payoutLines']): unknown[] => lines.map(({ explanation: _explanation, ...line }) => line);
  return { ...result, periods: result.periods.map((period) => ({ ...period, lines: bare(period.lines) })), payoutLines: bare(result.payoutLines) };
}

/** The digest by which a draft is compared with what is known now. */
export function inputsDigestOf(inputs: SettlementInputs): Buffer {
  return sha256Of(documentText({ ...inputs }));
}

/** What the settlement leaves to the next one of its agreement, as stored beside it. */
export function carriesTextOf(settlementId: string, result: SettlementResult): string {
  const carries: Carries = carriesOf(settlementId, result);
  return documentText({ ...carries });
}

/**
 * Whether there is anything to settle: a period in which nothing was collected, taxed, charged or handed out, and before
 * which nothing changed, gets no statement. What is carried stays where it is until the next period that has something.
 */
export function isEmpty({ inputs, result }: ComputedSettlement): boolean {
  const { current, earlier, handedCash, kind } = inputs;
  const facts = current.counts.length + current.refundSlips.length + current.cashless.length + current.breakIns.length;
  const { taxBeforeSplitMinor, operatorTaxMinor, chargesMinor, sharesMinor } = result.totals;
  const nothingMoved = [taxBeforeSplitMinor, operatorTaxMinor, chargesMinor, sharesMinor].every((minor) => minor === 0n);
  return kind === 'regular' && facts + earlier.length + handedCash.length === 0 && nothingMoved;
}

function sha256Of(text: string): Buffer {
  return createHash('sha256').update(text, 'utf8').digest();
}
