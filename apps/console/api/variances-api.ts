import * as sdk from '../generated';
import type { AttributionVarianceData, ExplainVarianceData, ReportVarianceData } from '../generated';
import { once, type Base } from './client';
import { fileOf } from './file-answer';

export type ReportAsked = ReportVarianceData['query'];
/** All that nobody has explained yet, or every flag; of one site, one machine, one collector, or of counts booked from a day on and before another, where that is said. */
export type FlagsAsked = { readonly state?: 'open'; readonly siteId?: string; readonly machineId?: string; readonly collectorId?: string; readonly from?: string; readonly before?: string };
export type AttributionAsked = AttributionVarianceData['query'];
export type Explanation = ExplainVarianceData['body'];

export function variancesApi(base: Base) {
  return {
    varianceMonth: async (query: { readonly month: string; readonly siteId?: string }, signal: AbortSignal) => (await sdk.monthVariance({ ...base, signal, query })).data,
    varianceFlags: async (asked: FlagsAsked, cursor: string | null, signal: AbortSignal) =>
      (await sdk.flagsVariance({ ...base, signal, query: { ...asked, ...(cursor === null ? {} : { cursor }) } })).data,
    varianceReport: async (query: ReportAsked, signal: AbortSignal) => (await sdk.reportVariance({ ...base, signal, query })).data,
    varianceReportFile: async (query: ReportAsked) => fileOf(await sdk.exportReport({ ...base, query, parseAs: 'blob' }), 'variances.csv'),
    varianceChart: async (machineId: string, signal: AbortSignal) => (await sdk.chartVariance({ ...base, signal, path: { id: machineId } })).data,
    varianceFlag: async (id: string, signal: AbortSignal) => (await sdk.flagVariance({ ...base, signal, path: { id } })).data,
    collectionVariances: async (id: string, signal: AbortSignal) => (await sdk.ofCollection({ ...base, signal, path: { id } })).data,
    explainVarianceFlag: async ({ id, ...body }: Explanation & { readonly id: string }, key: string) => (await sdk.explainVariance({ ...base, ...once(key), path: { id }, body })).data,
    varianceAttribution: async (query: AttributionAsked, signal: AbortSignal) => (await sdk.attributionVariance({ ...base, signal, query })).data,
  };
}
