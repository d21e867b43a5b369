import type { AgreementRow, AgreementState } from '../api/shapes';

/** A row of the list for tests: only what the test is about has to be said. */
export function rowOf(siteCode: string, state: AgreementState, more: Partial<AgreementRow> = {}): AgreementRow {
  return {
    agreementId: siteCode, siteId: siteCode, siteCode, siteName: `Site ${siteCode}`, settlementId: null, reversedId: null, state,
    takings: null, siteShare: null, payable: null, earlier: null, previousTakings: null, previousPayable: null, heldBecause: null, payment: null, failure: null, ...more,
  };
}
