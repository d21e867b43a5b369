import * as sdk from '../generated';
import type {
  AddUserData,
  AppointKeyStoreData,
  ChangeKeyCodeData,
  ChangeKeyPlaceData,
  ChangeKeyRingData,
  ChangeMachineLockData,
  CreateKeyCodeData,
  CreateKeyPlaceData,
  CreateKeyStoreData,
  CreatePersonData,
  FitAtSitesData,
  FitOneData,
  GrantKeyExceptionData,
  MakeKeyCopyData,
  RecordCustodyEventData,
  RemoveMachineLockData,
} from '../generated';
import { once, type Base } from './client';
import { everyPage } from './every-page';

/** The longest page that a list gives. */
const most = 200;

const asSeen = ({ revision }: { readonly revision: number }) => ({ 'If-Match': `"${revision}"` });

type Named<Body> = { readonly id: string; readonly body: Body };

/** Codes, copies, stores, locks, places, rings and exceptions: what an operator sets up of its keys. */
export function keySetUpApi(base: Base) {
  const after = (cursor: string | null) => ({ limit: most, ...(cursor === null ? {} : { cursor }) });
  return {
    keyCode: async (id: string, signal: AbortSignal | null = null) => (await sdk.readKeyCode({ ...base, signal, path: { id } })).data,
    createKeyCode: async (body: CreateKeyCodeData['body'], key: string) => (await sdk.createKeyCode({ ...base, ...once(key), body })).data,
    changeKeyCode: async ({ id, revision, body }: Named<ChangeKeyCodeData['body']> & { readonly revision: number }) =>
      (await sdk.changeKeyCode({ ...base, headers: asSeen({ revision }), path: { id }, body })).data,
    keyCopiesOf: async (keyCodeId: string | null, cursor: string | null, signal: AbortSignal) =>
      (await sdk.listKeyCopy({ ...base, signal, query: { ...after(cursor), ...(keyCodeId === null ? { state: 'held' as const } : { keyCodeId }) } })).data,
    makeKeyCopies: async (body: MakeKeyCopyData['body'], key: string) => (await sdk.makeKeyCopy({ ...base, ...once(key), body })).data,
    recordKeyEvent: async (body: RecordCustodyEventData['body'], key: string) => (await sdk.recordCustodyEvent({ ...base, ...once(key), body })).data,
    keySites: async (cursor: string | null, signal: AbortSignal) => (await sdk.listKeySite({ ...base, signal, query: after(cursor) })).data,
    keyStores: async (cursor: string | null, signal: AbortSignal) => (await sdk.listKeyStore({ ...base, signal, query: after(cursor) })).data,
    createKeyStore: async (body: CreateKeyStoreData['body'], key: string) => (await sdk.createKeyStore({ ...base, ...once(key), body })).data,
    appointCustodian: async ({ id, body }: Named<AppointKeyStoreData['body']>, key: string) => (await sdk.appointKeyStore({ ...base, ...once(key), path: { id }, body })).data,
    locksAt: async (siteId: string, cursor: string | null, signal: AbortSignal) =>
      (await sdk.listMachineLock({ ...base, signal, query: { ...after(cursor), siteId, inPlace: 'yes' } })).data,
    fitLock: async (body: FitOneData['body'], key: string) => (await sdk.fitOne({ ...base, ...once(key), body })).data,
    fitLocksAtSites: async (body: FitAtSitesData['body'], key: string) => (await sdk.fitAtSites({ ...base, ...once(key), body })).data,
    changeLock: async ({ id, body }: Named<ChangeMachineLockData['body']>, key: string) => (await sdk.changeMachineLock({ ...base, ...once(key), path: { id }, body })).data,
    removeLock: async ({ id, body }: Named<RemoveMachineLockData['body']>, key: string) => (await sdk.removeMachineLock({ ...base, ...once(key), path: { id }, body })).data,
    keyPlaces: async (cursor: string | null, signal: AbortSignal) => (await sdk.listKeyPlace({ ...base, signal, query: after(cursor) })).data,
    keyPlacesAt: async (siteId: string, signal: AbortSignal) => ({ items: await everyPage(async (cursor) => (await sdk.listKeyPlace({ ...base, signal, query: { ...after(cursor), siteId } })).data) }),
    keyPlace: async (id: string, signal: AbortSignal | null = null) => (await sdk.readKeyPlace({ ...base, signal, path: { id } })).data,
    createKeyPlace: async (body: CreateKeyPlaceData['body'], key: string) => (await sdk.createKeyPlace({ ...base, ...once(key), body })).data,
    changeKeyPlace: async ({ id, revision, body }: Named<ChangeKeyPlaceData['body']> & { readonly revision: number }) =>
      (await sdk.changeKeyPlace({ ...base, headers: asSeen({ revision }), path: { id }, body })).data,
    addKeyPlaceUser: async ({ id, body }: Named<AddUserData['body']>, key: string) => (await sdk.addUser({ ...base, ...once(key), path: { id }, body })).data,
    endKeyPlaceUser: async ({ id, body }: Named<AddUserData['body']>, key: string) => (await sdk.endUser({ ...base, ...once(key), path: { id }, body: { personId: body.personId } })).data,
    keyRings: async (cursor: string | null, signal: AbortSignal) => (await sdk.listKeyRing({ ...base, signal, query: after(cursor) })).data,
    createKeyRing: async (body: { readonly code: string }, key: string) => (await sdk.createKeyRing({ ...base, ...once(key), body })).data,
    changeKeyRing: async ({ id, body }: Named<ChangeKeyRingData['body']>, key: string) => (await sdk.changeKeyRing({ ...base, ...once(key), path: { id }, body })).data,
    keyExceptions: async (cursor: string | null, signal: AbortSignal) => (await sdk.listKeyException({ ...base, signal, query: after(cursor) })).data,
    grantKeyException: async (body: GrantKeyExceptionData['body'], key: string) => (await sdk.grantKeyException({ ...base, ...once(key), body })).data,
    endKeyException: async (id: string, key: string) => (await sdk.endKeyException({ ...base, ...once(key), path: { id }, body: {} })).data,
    person: async (id: string, signal: AbortSignal | null = null) => (await sdk.readPerson({ ...base, signal, path: { id } })).data,
    personLeft: async ({ id, revision, leftOn }: { readonly id: string; readonly revision: number; readonly leftOn: string }) =>
      (await sdk.changePerson({ ...base, headers: asSeen({ revision }), path: { id }, body: { leftOn } })).data,
    textsNamingPerson: async (id: string, signal: AbortSignal) => (await sdk.textsPerson({ ...base, signal, path: { id } })).data,
    erasePerson: async (id: string, confirmed: readonly string[], key: string) => (await sdk.erasePerson({ ...base, ...once(key), path: { id }, body: { confirmed: [...confirmed] } })).data,
    createPerson: async (body: CreatePersonData['body'], key: string) => (await sdk.createPerson({ ...base, ...once(key), body })).data,
  };
}
