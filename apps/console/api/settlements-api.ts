import * as sdk from '../generated';
import { once, type Base } from './client';
import { everyPage } from './every-page';
import type { Settlement } from './shapes';

/** The longest page that a list gives. */
const most = 200;
/** Two years of months. */
const shownPerSite = 24;

export function settlementsApi(base: Base) {
  return {
    settlement: async (id: string, signal?: AbortSignal) => (await sdk.oneSettlement({ ...base, signal: signal ?? null, path: { id } })).data,
    settlementsOfSite: async (siteId: string, cursor: string | null, signal: AbortSignal) =>
      (await sdk.listSettlement({ ...base, signal, query: { siteId, limit: shownPerSite, ...(cursor === null ? {} : { cursor }) } })).data,
    /** Of the draft as the reader has seen it: another revision is refused. */
    review: async ({ id, revision }: Pick<Settlement, 'id' | 'revision'>, key: string) => {
      const headers = { ...once(key).headers, 'If-Match': `"${revision}"` };
      return (await sdk.reviewSettlement({ ...base, headers, path: { id } })).data;
    },
    reopen: async (id: string, note: string, key: string) => (await sdk.reopenSettlement({ ...base, ...once(key), path: { id }, body: { note } })).data,
    hold: async (id: string, note: string, key: string) => (await sdk.holdSettlement({ ...base, ...once(key), path: { id }, body: { note } })).data,
    /** Lets pass what the refused review named, and nothing else. */
    override: async (id: string, { reason, flagIds, placementIds }: { reason: string; flagIds: readonly string[]; placementIds: readonly string[] }, key: string) =>
      (await sdk.overrideSettlement({ ...base, ...once(key), path: { id }, body: { reason, flagIds: [...flagIds], placementIds: [...placementIds] } })).data,
    release: async (id: string, note: string, key: string) => (await sdk.releaseSettlement({ ...base, ...once(key), path: { id }, body: { note } })).data,
    question: async (id: string, note: string, key: string) => (await sdk.questionSettlement({ ...base, ...once(key), path: { id }, body: { note } })).data,
    answer: async (id: string, note: string, key: string) => (await sdk.answerSettlement({ ...base, ...once(key), path: { id }, body: { note } })).data,
    /** What sites have asked and nobody has answered, of all periods. */
    openQuestions: (signal: AbortSignal) =>
      everyPage(async (cursor) => (await sdk.listSettlement({ ...base, signal, query: { question: 'open', limit: most, ...(cursor === null ? {} : { cursor }) } })).data),
    /** Drafts of the periods that begin on that day, by site. */
    draftsOf: (startsOn: string, signal: AbortSignal) =>
      everyPage(async (cursor) => (await sdk.listSettlement({ ...base, signal, query: { startsOn, state: 'draft', limit: most, ...(cursor === null ? {} : { cursor }) } })).data),
    recompute: async (id: string, key: string) => (await sdk.recomputeSettlement({ ...base, ...once(key), path: { id } })).data,
    reverse: async (id: string, reason: string, key: string) => (await sdk.reverseSettlement({ ...base, ...once(key), path: { id }, body: { reason } })).data,
    /** The signed file under the name that the api gives it. */
    statement: async (id: string) => {
      const { data: blob, response } = await sdk.statementSettlement({ ...base, path: { id }, parseAs: 'blob' });
      return { blob, fileName: fileNameIn(response) };
    },
    siteView: async (signal: AbortSignal) => (await sdk.viewSiteView({ ...base, signal })).data,
  };
}

function fileNameIn(response: Response): string {
  return /filename="([^"]+)"/.exec(response.headers.get('content-disposition') ?? '')?.[1] ?? 'statement.pdf';
}
