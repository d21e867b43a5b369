import { command, download, read, type Send } from './call';
import { clientFor } from './client';
import { collectionsApi } from './collections-api';
import { importsApi } from './imports-api';
import { membersApi } from './members-api';
import { sendFor } from './send';
import type { Page } from '#contracts/page';
import type { AgreementRow, Close, Cycle, LateChange, MonthEnd, PeriodRow, Settlement, SettlementRow, SiteView } from './shapes';
import { sitesApi } from './sites-api';

type PeriodKey = { readonly cycle: Cycle; readonly startsOn: string };

/** What the console asks of the api for one operator. */
export function createOperatorApi(operatorId: string) {
  const send = sendFor(operatorId);
  const base = clientFor(operatorId);
  return { ...monthEndCalls(send), ...settlementCalls(send), ...siteCalls(send), ...collectionsApi(base), ...importsApi(base), ...membersApi(base), ...sitesApi(base) };
}
export type OperatorApi = ReturnType<typeof createOperatorApi>;

function monthEndCalls(send: Send) {
  return {
    periods: (signal?: AbortSignal) => read<Page<PeriodRow>>(send, '/month-end/periods', {}, signal),
    monthEnd: (period: PeriodKey, signal?: AbortSignal) => read<MonthEnd>(send, '/month-end', period, signal),
    agreementsOfPeriod: (period: PeriodKey, cursor: string | null, signal?: AbortSignal) =>
      read<Page<AgreementRow>>(send, '/month-end/agreements', { ...period, limit: 200, cursor }, signal),
    lateChanges: (signal?: AbortSignal) => read<Page<LateChange>>(send, '/late-changes', { limit: 200 }, signal),
    startClose: (period: PeriodKey) => command<Close>(send, 'POST', '/closes', period),
    close: (id: string, signal?: AbortSignal) => read<Close>(send, `/closes/${id}`, {}, signal),
    settleMissing: (closeId: string) => command<Close>(send, 'POST', `/closes/${closeId}/settle-missing`),
    reviewAll: (closeId: string) => command<Close>(send, 'POST', `/closes/${closeId}/review`, {}),
    issueReviewed: (closeId: string) => command<Close>(send, 'POST', `/closes/${closeId}/issue`),
  };
}

function settlementCalls(send: Send) {
  return {
    settlement: (id: string, signal?: AbortSignal) => read<Settlement>(send, `/settlements/${id}`, {}, signal),
    settlementsOfSite: (siteId: string, signal?: AbortSignal) =>
      read<Page<SettlementRow>>(send, '/settlements', { siteId, limit: 24 }, signal),
    statement: (id: string) => download(send, `/settlements/${id}/statement`),
    review: (id: string) => command<Settlement>(send, 'POST', `/settlements/${id}/review`),
    reopen: (id: string, note: string) => command<Settlement>(send, 'POST', `/settlements/${id}/reopen`, { note }),
    recompute: (id: string) => command<Settlement>(send, 'POST', `/settlements/${id}/recompute`),
  };
}

function siteCalls(send: Send) {
  return {
    siteView: (signal?: AbortSignal) => read<SiteView>(send, '/site-view', {}, signal),
  };
}
