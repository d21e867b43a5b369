import * as sdk from '../generated';
import type { CorrectCashlessData, RecordCashlessData } from '../generated';
import { pageAt, type AtSite } from './break-ins-api';
import { once, type Base } from './client';

export interface CardFile {
  readonly file: File;
  /** Null: as the operator is used to. */
  readonly decimalMark: '.' | ',' | null;
}

/** What card readers reported. */
export function cardTakingsApi(base: Base) {
  return {
    cardTakings: async (asked: AtSite, signal: AbortSignal) => (await sdk.listCashless({ ...base, signal, query: pageAt(asked) })).data,
    recordCardTakings: async (body: RecordCashlessData['body'], key: string) => (await sdk.recordCashless({ ...base, ...once(key), body })).data,
    recordCardFile: async ({ file, decimalMark }: CardFile, key: string) => (await sdk.recordFile({ ...base, ...once(key), query: decimalMark === null ? {} : { decimalMark }, body: file })).data,
    correctCardTaking: async ({ id, body }: { readonly id: string; readonly body: CorrectCashlessData['body'] }, key: string) => (await sdk.correctCashless({ ...base, ...once(key), path: { id }, body })).data,
  };
}
