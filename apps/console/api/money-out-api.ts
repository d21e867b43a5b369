import * as sdk from '../generated';
import type { CancelPaymentRunData, ConfirmBankDetailData, ProposeBankDetailData, RecordPaymentRunData, RecordYearEndData } from '../generated';
import { once, type Base } from './client';
import { everyPage } from './every-page';
import { fileOf } from './file-answer';

/** The longest page that a list gives. */
const most = 200;

const after = (cursor: string | null) => (cursor === null ? {} : { cursor });

/** Bank accounts, payment runs, and what was paid in a year. */
export function moneyOutApi(base: Base) {
  return {
    everyParty: async (signal: AbortSignal) => everyPage(async (cursor) => (await sdk.listParty({ ...base, signal, query: { limit: most, ...after(cursor) } })).data),
    bankAccounts: async (signal: AbortSignal) => everyPage(async (cursor) => (await sdk.listBankDetail({ ...base, signal, query: { limit: most, ...after(cursor) } })).data),
    proposeAccount: async (body: ProposeBankDetailData['body'], key: string) => (await sdk.proposeBankDetail({ ...base, ...once(key), body })).data,
    confirmAccount: async ({ id, ...body }: { id: string } & ConfirmBankDetailData['body'], key: string) => (await sdk.confirmBankDetail({ ...base, ...once(key), path: { id }, body })).data,
    rejectAccount: async ({ id, reason }: { id: string; reason: string }, key: string) => (await sdk.rejectBankDetail({ ...base, ...once(key), path: { id }, body: { reason } })).data,
    withdrawAccount: async ({ id, reason }: { id: string; reason: string }, key: string) => (await sdk.withdrawBankDetail({ ...base, ...once(key), path: { id }, body: { reason } })).data,
    ageing: async (on: string, signal: AbortSignal) => (await sdk.ageingOpenItem({ ...base, signal, query: { on } })).data,
    ageingFile: async (on: string) => fileOf(await sdk.ageingFile({ ...base, query: { on }, parseAs: 'blob' }), `ageing-${on}.csv`),
    payables: async (signal: AbortSignal) => (await sdk.payablesPaymentRun({ ...base, signal })).data,
    paymentRuns: async (signal: AbortSignal) => everyPage(async (cursor) => (await sdk.listPaymentRun({ ...base, signal, query: { limit: most, ...after(cursor) } })).data),
    paymentRun: async (id: string, signal: AbortSignal) => (await sdk.onePaymentRun({ ...base, signal, path: { id } })).data,
    draftRun: async (body: { executeOn: string }, key: string) => (await sdk.draftPaymentRun({ ...base, ...once(key), body })).data,
    makeRunFile: async (id: string, key: string) => (await sdk.makeFile({ ...base, ...once(key), path: { id } })).data,
    runFile: async (id: string) => fileOf(await sdk.filePaymentRun({ ...base, path: { id }, parseAs: 'blob' }), 'payments'),
    sendRun: async ({ id, sentOn }: { id: string; sentOn: string }, key: string) => (await sdk.sendPaymentRun({ ...base, ...once(key), path: { id }, body: { sentOn } })).data,
    recordRun: async ({ id, ...body }: { id: string } & RecordPaymentRunData['body'], key: string) => (await sdk.recordPaymentRun({ ...base, ...once(key), path: { id }, body })).data,
    cancelRun: async ({ id, ...body }: { id: string } & CancelPaymentRunData['body'], key: string) => (await sdk.cancelPaymentRun({ ...base, ...once(key), path: { id }, body })).data,
    yearEnd: async (year: number, signal: AbortSignal) => (await sdk.readYearEnd({ ...base, signal, query: { year } })).data,
    yearEndFile: async (year: number) => fileOf(await sdk.exportYear({ ...base, query: { year }, parseAs: 'blob' }), `year-end-${String(year)}.csv`),
    recordTaxpayerNumber: async (body: RecordYearEndData['body'], key: string) => (await sdk.recordYearEnd({ ...base, ...once(key), body })).data,
  };
}
