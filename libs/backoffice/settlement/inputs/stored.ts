import { storedCarriesSchema } from '#contracts/stored-lines';
import { decodeInputs, decodeResult, type Decoded } from '#contracts/settlement-document';
import { storedId, storedInteger } from '#contracts/stored-values';
import { noCarries, type PeriodCarries } from '#domain/settlement/carries';
import type { CarriedItem, SettlementInputs } from '#domain/settlement/inputs';
import type { SettlementResult } from '#domain/settlement/result';
import { z } from 'zod';

/** What a settlement leaves to the next one: what its period carries, and what it carried instead of paying. */
export type Carries = { readonly period: PeriodCarries; readonly items: readonly CarriedItem[] };

export const nothingCarried: Carries = { period: noCarries, items: [] };

const storedSchema = z.strictObject({
  period: storedCarriesSchema,
  items: z.array(z.strictObject({ id: storedId, party: storedId, amountMinor: storedInteger })),
});

/** An item is carried once: its id is that of the settlement and the payee, so the next one that carries it closes this one. */
export function carriesOf(settlementId: string, result: SettlementResult): Carries {
  const own = result.periods.at(-1);
  return {
    period: own?.carriesOut ?? noCarries,
    items: result.payables
      .filter((payable) => payable.outcome === 'carried')
      .map(({ party, amountMinor }) => ({ id: `${settlementId}/${party}`, party, amountMinor })),
  };
}

/** Reads what was stored. Stored text that cannot be read is damage, not input. */
export function readCarries(text: string): Carries {
  return storedSchema.parse(JSON.parse(text));
}

export function readResult(text: string): SettlementResult {
  return orThrow(decodeResult(JSON.parse(text)));
}

export function readInputs(text: string): SettlementInputs {
  return orThrow(decodeInputs(JSON.parse(text)));
}

function orThrow<Document>(decoded: Decoded<Document>): Document {
  if (decoded.ok) return decoded.document;
  const [first] = decoded.problems;
  throw new Error(`a stored settlement cannot be read: ${first?.pointer ?? ''} ${first?.message ?? ''}`);
}
