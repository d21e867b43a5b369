import * as sdk from '../generated';
import { once, type Base } from './client';

export interface Upload {
  readonly file: File;
  readonly kind: 'collections' | 'keys';
  /** Null: as the operator is used to. */
  readonly decimalMark: '.' | ',' | null;
}

const longestName = 200;

export function importsApi(base: Base) {
  return {
    imports: async (cursor: string | null, signal: AbortSignal) => (await sdk.listImport({ ...base, signal, query: cursor === null ? {} : { cursor } })).data,
    importFile: async (id: string, signal: AbortSignal) => (await sdk.oneImport({ ...base, signal, path: { id } })).data,
    importErrors: async (id: string, signal: AbortSignal) => (await sdk.errorsImport({ ...base, signal, path: { id } })).data,
    importWarnings: async (id: string, signal: AbortSignal) => (await sdk.warningsImport({ ...base, signal, path: { id } })).data,
    upload: async ({ file, kind, decimalMark }: Upload) => {
      const query = { kind, fileName: file.name.slice(-longestName), ...(decimalMark === null ? {} : { decimalMark }) };
      return (await sdk.uploadImport({ ...base, query, body: file })).data;
    },
    acceptImport: async (id: string, key: string) => (await sdk.acceptImport({ ...base, ...once(key), path: { id } })).data,
    discardImport: async (id: string, key: string) => (await sdk.discardImport({ ...base, ...once(key), path: { id } })).data,
  };
}
