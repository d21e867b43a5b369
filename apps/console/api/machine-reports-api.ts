import * as sdk from '../generated';
import type { DismissMachineReportData, EndOutageData, ReportOutageData } from '../generated';
import { once, type Base } from './client';

export type NewOutage = ReportOutageData['body'];
export type FaultDismissal = DismissMachineReportData['body'];

/** Tokens with which machines report, and the outages that their reports propose. */
export function machineReportsApi(base: Base) {
  return {
    machineTokens: async (signal: AbortSignal) => (await sdk.listMachineReport({ ...base, signal })).data.items,
    makeMachineToken: async (machineId: string) => (await sdk.makeMachineReport({ ...base, ...once(), body: { machineId } })).data,
    revokeMachineToken: async (id: string) => (await sdk.revokeMachineReport({ ...base, ...once(), path: { id } })).data,
    reportsOf: async (machineId: string, signal: AbortSignal) => (await sdk.readMachineReport({ ...base, signal, path: { id: machineId }, query: { limit: 20 } })).data,
    machineFaults: async (signal: AbortSignal) => (await sdk.faultsMachineReport({ ...base, signal })).data,
    dismissMachineFault: async (body: FaultDismissal) => (await sdk.dismissMachineReport({ ...base, ...once(), body })).data,
    outages: async (cursor: string | null, signal: AbortSignal) => (await sdk.listOutage({ ...base, signal, query: { limit: 20, ...(cursor === null ? {} : { cursor }) } })).data,
    confirmOutage: async (id: string) => (await sdk.confirmOutage({ ...base, ...once(), path: { id } })).data,
    takeBackOutage: async ({ id, reason }: { readonly id: string; readonly reason: string }) => (await sdk.takeBack({ ...base, ...once(), path: { id }, body: { reason } })).data,
    reportOutage: async (body: NewOutage) => (await sdk.reportOutage({ ...base, ...once(), body })).data,
    endOutage: async ({ id, ...body }: { readonly id: string; readonly endedAt: string; readonly remedy: string; readonly meters?: NonNullable<EndOutageData['body']['meters']> }) => (await sdk.endOutage({ ...base, ...once(), path: { id }, body })).data,
  };
}
