import * as sdk from '../generated';
import type { ReadEarningsData } from '../generated';
import type { Base } from './client';
import { fileOf } from './file-answer';

export type EarningsAsked = Pick<ReadEarningsData['query'], 'from' | 'before'>;

export function earningsApi(base: Base) {
  return {
    earnings: async (query: EarningsAsked, signal: AbortSignal) => (await sdk.readEarnings({ ...base, signal, query })).data,
    earningsFile: async (query: EarningsAsked) => fileOf(await sdk.exportEarnings({ ...base, query, parseAs: 'blob' }), 'earnings.csv'),
  };
}
