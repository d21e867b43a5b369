import * as sdk from '../generated';
import type { Base } from './client';
import { fileOf } from './file-answer';

/** First and last day, both included. */
export interface Days {
  readonly from: string;
  readonly to: string;
}

/** Shown before somebody asks for more. */
const firstShown = 50;

/** What the books say: balances, the entries behind them, and files for other programs. */
export function journalApi(base: Base) {
  return {
    chartOfAccounts: async (signal: AbortSignal) => (await sdk.chartJournal({ ...base, signal })).data.accounts,
    trialBalance: async ({ from, to }: Days, signal: AbortSignal) => (await sdk.balanceJournal({ ...base, signal, query: { from, on: to } })).data,
    journalEntries: async (days: Days, cursor: string | null, signal: AbortSignal) =>
      (await sdk.entriesJournal({ ...base, signal, query: { ...days, limit: firstShown, ...(cursor === null ? {} : { cursor }) } })).data,
    journalFile: async ({ format, ...days }: Days & { format: 'plain' | 'csv' }) =>
      fileOf(await sdk.exportedJournal({ ...base, query: { format, ...days }, parseAs: 'blob' }), `journal-${days.from}-${days.to}.${format === 'csv' ? 'csv' : 'journal'}`),
  };
}
