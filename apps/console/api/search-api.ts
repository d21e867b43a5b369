import * as sdk from '../generated';
import type { Base } from './client';

export function searchApi(base: Base) {
  return {
    search: async (text: string, signal: AbortSignal) => (await sdk.findSearch({ ...base, signal, query: { text } })).data,
  };
}
