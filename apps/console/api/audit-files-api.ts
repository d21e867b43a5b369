import * as sdk from '../generated';
import { once, type Base } from './client';

export interface AuditUpload {
  readonly collectionId: string;
  /** Null: the one that the file names. */
  readonly machineId: string | null;
  readonly file: File;
}

/** Files that machines were read out into at a collection. */
export function auditFilesApi(base: Base) {
  return {
    auditFiles: async (collectionId: string, signal: AbortSignal) => (await sdk.listAuditFile({ ...base, signal, path: { id: collectionId } })).data.items,
    uploadAuditFile: async ({ collectionId, machineId, file }: AuditUpload) => (await sdk.uploadAuditFile({ ...base, query: { collectionId, ...(machineId === null ? {} : { machineId }) }, body: file })).data,
    acceptAuditFile: async ({ id, machineId }: { readonly id: string; readonly machineId: string }, key: string) => (await sdk.acceptAuditFile({ ...base, ...once(key), path: { id }, body: { machineId } })).data,
  };
}
