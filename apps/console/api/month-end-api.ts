import * as sdk from '../generated';
import { once, type Base } from './client';
import { everyPage } from './every-page';
import type { Cycle } from './shapes';

type PeriodKey = { readonly cycle: Cycle; readonly startsOn: string };

/** The longest page that a list gives. */
const most = 200;

export function monthEndApi(base: Base) {
  return {
    periods: async (signal: AbortSignal) => (await sdk.periodsMonthEnd({ ...base, signal })).data,
    monthEnd: async (query: PeriodKey, signal: AbortSignal) => (await sdk.summaryMonthEnd({ ...base, signal, query })).data,
    agreementsOfPeriod: async (period: PeriodKey, cursor: string | null, signal: AbortSignal) =>
      (await sdk.agreementsMonthEnd({ ...base, signal, query: { ...period, limit: most, ...(cursor === null ? {} : { cursor }) } })).data,
    journalPeriods: async (signal: AbortSignal) => (await sdk.periodsJournal({ ...base, signal })).data,
    closeJournal: async (body: { month: string; reason: string }, key: string) => (await sdk.closeJournal({ ...base, ...once(key), body })).data,
    reopenJournal: async (body: { month: string; reason: string }, key: string) => (await sdk.reopenJournal({ ...base, ...once(key), body })).data,
    lateChanges: async (signal: AbortSignal) => everyPage(async (cursor) => (await sdk.listLateChange({ ...base, signal, query: { limit: most, ...(cursor === null ? {} : { cursor }) } })).data),
    startClose: async (body: PeriodKey, key: string) => (await sdk.startClose({ ...base, ...once(key), body })).data,
    close: async (id: string, signal?: AbortSignal) => (await sdk.oneClose({ ...base, signal: signal ?? null, path: { id } })).data,
    settleMissing: async (id: string, key: string) => (await sdk.missingClose({ ...base, ...once(key), path: { id } })).data,
    /** All drafts of the close, or only these. */
    reviewDrafts: async (id: string, settlementIds: string[] | undefined, key: string) =>
      (await sdk.reviewClose({ ...base, ...once(key), path: { id }, body: settlementIds === undefined ? {} : { settlementIds } })).data,
    statementMails: async (id: string, signal: AbortSignal) => (await sdk.mailsClose({ ...base, signal, path: { id } })).data,
    sendStatementMails: async (id: string, again: boolean, key: string) => (await sdk.mailClose({ ...base, ...once(key), path: { id }, body: { again } })).data,
    issueReviewed: async (id: string, key: string) => (await sdk.issueClose({ ...base, ...once(key), path: { id } })).data,
  };
}
