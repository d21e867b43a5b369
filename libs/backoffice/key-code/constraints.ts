import type { PerformOptions } from '../perform';
import { taken } from '../refusal';

export const keyCodeConstraints: NonNullable<PerformOptions<unknown>['constraints']> = {
  key_code_pkey: taken(['id'], 'a key code with this id'),
  key_code_tenant_id_code_key: taken(['code'], 'a key code of this name'),
};
