import type { PerformOptions } from '../perform';
import { fieldFailure, taken, unknownReference } from '../refusal';

export const placeConstraints: NonNullable<PerformOptions<unknown>['constraints']> = {
  key_place_pkey: taken(['id'], 'a key place with this id'),
  key_place_tenant_id_code_key: taken(['code'], 'a key place with this code'),
  key_place_tenant_id_site_id_fkey: unknownReference(['siteId'], 'site'),
  key_place_responsible_person: unknownReference(['responsiblePersonId'], 'person'),
  key_place_user_tenant_id_person_id_fkey: unknownReference(['personId'], 'person'),
  key_place_user_once_at_a_time: fieldFailure('invalid-command', { path: ['from'], code: 'on-the-list', message: 'This person is on the list at that time already.' }),
};
