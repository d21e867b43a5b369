/** SQL: whether a party, as an expression, is a payee of the row `agreement`: the one of the site, or a further one of the terms. */
export function isPayeeOf({ agreement, party }: { readonly agreement: string; readonly party: string }): string {
  return `(${agreement}.party_id = ${party} OR EXISTS (SELECT FROM agreement_party o WHERE o.tenant_id = ${agreement}.tenant_id AND o.agreement_id = ${agreement}.id AND o.party_id = ${party}))`;
}
