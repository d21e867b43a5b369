import { formatInstant } from '#contracts/format';
import type { Party } from '#contracts/party';
import type { PerformOptions } from '../perform';
import { taken } from '../refusal';
import type { PartyRow } from './party.sql';

/** A stored party as the API shows it. */
export function toParty(row: PartyRow): Party {
  return { id: row.id, code: row.code, name: row.name, address: row.address, locale: row.locale, email: row.email, erasedAt: row.erased_at && formatInstant(row.erased_at), revision: row.revision };
}

export const partyConstraints: NonNullable<PerformOptions<unknown>['constraints']> = {
  party_pkey: taken(['id'], 'a party with this id'),
  party_tenant_id_code_key: taken(['code'], 'a party with this code'),
};
