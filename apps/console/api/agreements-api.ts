import * as sdk from '../generated';
import type { AddVersionData, ChangeAgreementData, CheckAgreementData, CreateAgreementData } from '../generated';
import { once, type Base } from './client';
import { everyPage } from './every-page';
import { asSeen, type Change } from './set-up-api';

/** What was agreed, and the terms that a screen is about to record. */
export function agreementsApi(base: Base) {
  return {
    agreement: async (id: string, signal: AbortSignal | null = null) => (await sdk.readAgreement({ ...base, signal, path: { id } })).data,
    agreementsWith: (partyId: string, signal: AbortSignal) => everyPage(async (cursor) => (await sdk.listAgreement({ ...base, signal, query: { partyId, limit: 200, ...(cursor === null ? {} : { cursor }) } })).data),
    checkTerms: async (body: CheckAgreementData['body'], signal: AbortSignal) => (await sdk.checkAgreement({ ...base, signal, body })).data,
    createAgreement: async (body: CreateAgreementData['body'], key: string) => (await sdk.createAgreement({ ...base, ...once(key), body })).data,
    addTerms: async ({ agreementId, body }: { readonly agreementId: string; readonly body: AddVersionData['body'] }, key: string) =>
      (await sdk.addVersion({ ...base, ...once(key), path: { id: agreementId }, body })).data,
    changeAgreement: async ({ id, revision, body }: Change<ChangeAgreementData['body']>) => (await sdk.changeAgreement({ ...base, headers: asSeen({ revision }), path: { id }, body })).data,
    endAgreement: async ({ id, endedOn }: { readonly id: string; readonly endedOn: string }, key: string) => (await sdk.endAgreement({ ...base, ...once(key), path: { id }, body: { endedOn } })).data,
  };
}
