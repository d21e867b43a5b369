import * as sdk from '../generated';
import type { AddFundData, BagStepData, CorrectBagData, RecordMoveData, RecordStocktakeData } from '../generated';
import { once, type Base } from './client';

export type CashMoveBody = RecordMoveData['body'];
export type StocktakeBody = RecordStocktakeData['body'];
export type FundBody = AddFundData['body'];
export type BagStepBody = BagStepData['body'];

export type BagCorrectionBody = CorrectBagData['body'];

export function cashApi(base: Base) {
  return {
    cashTrail: async (day: string, signal: AbortSignal) => (await sdk.trailCashTrail({ ...base, signal, query: { day } })).data,
    cashGaps: async (query: { readonly from: string; readonly to: string }, signal: AbortSignal) => (await sdk.gapsCashTrail({ ...base, signal, query })).data,
    ownOperator: async (signal: AbortSignal) => (await sdk.readOperator({ ...base, signal })).data,
    changeFunds: async (signal: AbortSignal) => (await sdk.fundsCashTrail({ ...base, signal })).data,
    createChangeFund: async (body: FundBody, key: string) => (await sdk.addFund({ ...base, ...once(key), body })).data,
    recordCashMove: async (body: CashMoveBody, key: string) => (await sdk.recordMove({ ...base, ...once(key), body })).data,
    takeBackCashMove: async ({ id, reason }: { readonly id: string; readonly reason: string }, key: string) => (await sdk.takeBackMove({ ...base, ...once(key), path: { id }, body: { reason } })).data,
    recordStocktake: async (body: StocktakeBody, key: string) => (await sdk.recordStocktake({ ...base, ...once(key), body })).data,
    recordBagStep: async ({ id, ...body }: BagStepBody & { readonly id: string }, key: string) => (await sdk.bagStep({ ...base, ...once(key), path: { id }, body })).data,
    correctBag: async ({ id, ...body }: BagCorrectionBody & { readonly id: string }, key: string) => (await sdk.correctBag({ ...base, ...once(key), path: { id }, body })).data,
  };
}
