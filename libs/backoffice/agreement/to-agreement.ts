import type { Agreement } from '#contracts/agreement';
import type { PerformOptions } from '../perform';
import { fieldFailure, taken } from '../refusal';
import type { AgreementRow } from './agreement.sql';

/** A stored agreement as the API shows it. */
export function toAgreement(row: AgreementRow): Agreement {
  return {
    id: row.id,
    code: row.code,
    siteId: row.site_id,
    siteCode: row.site_code,
    siteName: row.site_name,
    partyId: row.party_id,
    partyName: row.party_name,
    otherPartyIds: row.other_party_ids,
    startedOn: row.started_on,
    endedOn: row.ended_on,
    revision: row.revision,
  };
}

export const agreementConstraints: NonNullable<PerformOptions<unknown>['constraints']> = {
  agreement_pkey: taken(['id'], 'an agreement with this id'),
  agreement_tenant_id_code_key: taken(['code'], 'an agreement with this code'),
  agreement_one_per_site: fieldFailure('invalid-command', {
    path: ['startedOn'],
    code: 'other-agreement',
    message: 'Another agreement holds at the site on one of these days.',
  }),
  agreement_version_pkey: taken(['id'], 'a version with this id'),
};
