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
    closeJournal: async (body: { month: string; reason: string }) => (await sdk.closeJournal({ ...base, ...once(), body })).data,
    reopenJournal: async (body: { month: string; reason: string }) => (await sdk.reopenJournal({ ...base, ...once(), body })).data,
    lateChanges: async (signal: AbortSignal) => everyPage(async (cursor) => (await sdk.listLateChange({ ...base, signal, query: { limit: most, ...(cursor === null ? {} : { cursor }) } })).data),
    startClose: async (body: PeriodKey) => (await sdk.startClose({ ...base, ...once(), body })).data,
    close: async (id: string, signal: AbortSignal) => (await sdk.oneClose({ ...base, signal, path: { id } })).data,
    settleMissing: async (id: string) => (await sdk.missingClose({ ...base, ...once(), path: { id } })).data,
    /** All drafts of the close, or only these. */
    reviewDrafts: async (id: string, settlementIds?: string[]) =>
      (await sdk.reviewClose({ ...base, ...once(), path: { id }, body: settlementIds === undefined ? {} : { settlementIds } })).data,
    statementMails: async (id: string, signal: AbortSignal) => (await sdk.mailsClose({ ...base, signal, path: { id } })).data,
    sendStatementMails: async (id: string, again: boolean) => (await sdk.mailClose({ ...base, ...once(), path: { id }, body: { again } })).data,
    issueReviewed: async (id: string) => (await sdk.issueClose({ ...base, ...once(), path: { id } })).data,
  };
}
