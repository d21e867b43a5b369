import * as sdk from '../generated';
import type { Base } from './client';

export function membersApi(base: Base) {
  return {
    members: async (signal: AbortSignal) => (await sdk.listMembers({ ...base, signal })).data,
  };
}
