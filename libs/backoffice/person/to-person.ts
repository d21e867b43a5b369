import type { Person } from '#contracts/person';
import type { PerformOptions } from '../perform';
import { fieldFailure, taken, unknownReference } from '../refusal';
import type { PersonRow } from './person.sql';

/** A stored person as the API shows them. */
export function toPerson(row: PersonRow): Person {
  return {
    id: row.id,
    code: row.code,
    name: row.name,
    employedBy: row.employed_by,
    siteId: row.site_id,
    email: row.email,
    startedOn: row.started_on,
    leftOn: row.left_on,
    revision: row.revision,
  };
}

export const personConstraints: NonNullable<PerformOptions<unknown>['constraints']> = {
  person_pkey: taken(['id'], 'a person with this id'),
  person_tenant_id_code_key: taken(['code'], 'a person with this code'),
  person_tenant_id_site_id_fkey: unknownReference(['siteId'], 'site'),
  person_dates: fieldFailure('invalid-command', { path: ['leftOn'], code: 'before-start', message: 'Nobody leaves before the day they started.' }),
};
