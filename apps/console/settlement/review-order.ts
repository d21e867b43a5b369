import type { AgreementRow } from '../api/shapes';
import { unusualIn } from '../month-end/list';

export interface DraftToReview {
  /** Of the settlement. */
  readonly id: string;
  /** Its row in the list of the month end, where its change stands out there. */
  readonly unusual: AgreementRow | null;
}

/** Drafts in the order of the month end's list: those that stand out among the agreements of their cycle first; the rest as they come. */
export function reviewOrder(drafts: readonly { readonly id: string }[], cycles: readonly (readonly AgreementRow[])[]): DraftToReview[] {
  const standOut = new Map<string | null, AgreementRow>();
  for (const rows of cycles) {
    const unusual = unusualIn(rows);
    for (const row of rows) if (unusual.has(row.agreementId)) standOut.set(row.settlementId, row);
  }
  const all = drafts.map(({ id }) => ({ id, unusual: standOut.get(id) ?? null }));
  return [...all.filter(({ unusual }) => unusual !== null), ...all.filter(({ unusual }) => unusual === null)];
}
