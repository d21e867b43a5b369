import * as sdk from '../generated';
import type { DismissMachineReportData, EndOutageData, ReportOutageData } from '../generated';
import { once, type Base } from './client';

export type NewOutage = ReportOutageData['body'];
export type FaultDismissal = DismissMachineReportData['body'];

/** Tokens with which machines report, and the outages that their reports propose. */
export function machineReportsApi(base: Base) {
  return {
    machineTokens: async (signal: AbortSignal) => (await sdk.listMachineReport({ ...base, signal })).data.items,
    makeMachineToken: async (machineId: string, key: string) => (await sdk.makeMachineReport({ ...base, ...once(key), body: { machineId } })).data,
    revokeMachineToken: async (id: string, key: string) => (await sdk.revokeMachineReport({ ...base, ...once(key), path: { id } })).data,
    reportsOf: async (machineId: string, signal: AbortSignal) => (await sdk.readMachineReport({ ...base, signal, path: { id: machineId }, query: { limit: 20 } })).data,
    machineFaults: async (signal: AbortSignal) => (await sdk.faultsMachineReport({ ...base, signal })).data,
    dismissMachineFault: async (body: FaultDismissal, key: string) => (await sdk.dismissMachineReport({ ...base, ...once(key), body })).data,
    outages: async (cursor: string | null, signal: AbortSignal) => (await sdk.listOutage({ ...base, signal, query: { limit: 20, ...(cursor === null ? {} : { cursor }) } })).data,
    confirmOutage: async (id: string, key: string) => (await sdk.confirmOutage({ ...base, ...once(key), path: { id } })).data,
    takeBackOutage: async ({ id, reason }: { readonly id: string; readonly reason: string }, key: string) => (await sdk.takeBack({ ...base, ...once(key), path: { id }, body: { reason } })).data,
    reportOutage: async (body: NewOutage, key: string) => (await sdk.reportOutage({ ...base, ...once(key), body })).data,
    endOutage: async ({ id, ...body }: { readonly id: string; readonly endedAt: string; readonly remedy: string; readonly meters?: NonNullable<EndOutageData['body']['meters']> }, key: string) => (await sdk.endOutage({ ...base, ...once(key), path: { id }, body })).data,
  };
}
