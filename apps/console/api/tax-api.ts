import * as sdk from '../generated';
import { once, type Base } from './client';
import { everyPage } from './every-page';

/** The longest page that a list gives. */
const most = 200;
/** Two years of returns. */
const atOnce = 24;

export interface Filing {
  readonly areaId: string;
  readonly month: string;
  readonly filedOn: string;
  readonly reference: string;
  /** Of the worksheet as the reader has seen it: other figures are refused. */
  readonly digest: string;
}

export function taxApi(base: Base) {
  return {
    taxAreas: async (signal: AbortSignal) => ({ items: await everyPage(async (cursor) => (await sdk.listTaxArea({ ...base, signal, query: { limit: most, ...(cursor === null ? {} : { cursor }) } })).data) }),
    worksheet: async ({ areaId, month }: { areaId: string; month: string }, signal: AbortSignal) =>
      (await sdk.worksheetTaxReturn({ ...base, signal, path: { id: areaId }, query: { month } })).data,
    worksheetFile: async ({ areaId, month }: { areaId: string; month: string }) => {
      const { data: blob, response } = await sdk.exportWorksheet({ ...base, path: { id: areaId }, query: { month }, parseAs: 'blob' });
      return { blob, fileName: /filename="([^"]+)"/.exec(response.headers.get('content-disposition') ?? '')?.[1] ?? `tax-${month}.csv` };
    },
    taxReturns: async (areaId: string, cursor: string | null, signal: AbortSignal) =>
      (await sdk.listReturns({ ...base, signal, path: { id: areaId }, query: { limit: atOnce, ...(cursor === null ? {} : { cursor }) } })).data,
    taxReturn: async ({ areaId, returnId }: { readonly areaId: string; readonly returnId: string }, signal: AbortSignal) => (await sdk.readReturn({ ...base, signal, path: { id: areaId, returnId } })).data,
    fileReturn: async ({ areaId, ...body }: Filing, key: string) => (await sdk.fileReturn({ ...base, ...once(key), path: { id: areaId }, body })).data,
  };
}
