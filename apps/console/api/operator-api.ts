import { command, download, read, upload, type Send } from './call';
import { sendFor } from './send';
import type {
  Agreement, AgreementRow, Close, CollectionRow, Cycle, ImportError, ImportFile, LateChange, Machine, MonthEnd, Page, PeriodRow, Settlement,
  SettlementRow, Site, SiteView,
} from './shapes';

export interface Upload {
  readonly file: File;
  /** Null: as the operator is used to. */
  readonly decimalMark: '.' | ',' | null;
}

type PeriodKey = { readonly cycle: Cycle; readonly startsOn: string };

/** What the console asks of the api for one operator. */
export function createOperatorApi(operatorId: string) {
  const send = sendFor(operatorId);
  return { ...monthEndCalls(send), ...settlementCalls(send), ...importCalls(send), ...siteCalls(send), send };
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

function importCalls(send: Send) {
  return {
    imports: (cursor: string | null, signal?: AbortSignal) => read<Page<ImportFile>>(send, '/imports', { limit: 50, cursor }, signal),
    importFile: (id: string, signal?: AbortSignal) => read<ImportFile>(send, `/imports/${id}`, {}, signal),
    importErrors: (id: string, signal?: AbortSignal) => read<Page<ImportError>>(send, `/imports/${id}/errors`, {}, signal),
    upload: ({ file, decimalMark }: Upload) =>
      upload<ImportFile>(send, '/imports', { fileName: file.name.slice(-200), ...(decimalMark === null ? {} : { decimalMark }) }, file),
    acceptImport: (id: string) => command<ImportFile>(send, 'POST', `/imports/${id}/accept`),
    discardImport: (id: string) => command<ImportFile>(send, 'POST', `/imports/${id}/discard`),
  };
}

function siteCalls(send: Send) {
  return {
    sites: (cursor: string | null, signal?: AbortSignal) => read<Page<Site>>(send, '/sites', { limit: 200, cursor }, signal),
    site: (id: string, signal?: AbortSignal) => read<Site>(send, `/sites/${id}`, {}, signal),
    machinesAt: (siteId: string, signal?: AbortSignal) => read<Page<Machine>>(send, '/machines', { siteId, limit: 200 }, signal),
    agreementsOf: (siteId: string, signal?: AbortSignal) => read<Page<Agreement>>(send, '/agreements', { siteId, limit: 20 }, signal),
    collectionsAt: (siteId: string, signal?: AbortSignal) => read<Page<CollectionRow>>(send, '/collections', { siteId, limit: 20 }, signal),
    siteView: (signal?: AbortSignal) => read<SiteView>(send, '/site-view', {}, signal),
  };
}
