import { queryOptions } from '@tanstack/react-query';
import { everyPage } from '../../api/every-page';
import type { OperatorApi } from '../../api/operator-api';

/** All below one name: whatever is set up may change what is said of the rest. */
export const setUpKey = ['keys'] as const;

export const keyCodeQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: ['keys', 'code', id], queryFn: ({ signal }) => api.keyCode(id, signal) });
export const copiesOfCodeQuery = (api: OperatorApi, keyCodeId: string) =>
  queryOptions({ queryKey: ['keys', 'copies', keyCodeId], queryFn: ({ signal }) => everyPage((cursor) => api.keyCopiesOf(keyCodeId, cursor, signal)) });
export const copiesAtHandQuery = (api: OperatorApi) =>
  queryOptions({ queryKey: ['keys', 'copies', 'held'], queryFn: ({ signal }) => everyPage((cursor) => api.keyCopiesOf(null, cursor, signal)) });
export const keySitesQuery = (api: OperatorApi) => queryOptions({ queryKey: ['keys', 'sites'], queryFn: ({ signal }) => everyPage((cursor) => api.keySites(cursor, signal)) });
export const keyStoresQuery = (api: OperatorApi) => queryOptions({ queryKey: ['keys', 'stores'], queryFn: ({ signal }) => everyPage((cursor) => api.keyStores(cursor, signal)) });
export const locksAtQuery = (api: OperatorApi, siteId: string) =>
  queryOptions({ queryKey: ['keys', 'locks', siteId], queryFn: ({ signal }) => everyPage((cursor) => api.locksAt(siteId, cursor, signal)) });
export const placesAtQuery = (api: OperatorApi, siteId: string) => queryOptions({ queryKey: ['keys', 'places', siteId], queryFn: ({ signal }) => api.keyPlacesAt(siteId, signal) });
export const keyRingsQuery = (api: OperatorApi) => queryOptions({ queryKey: ['keys', 'rings'], queryFn: ({ signal }) => everyPage((cursor) => api.keyRings(cursor, signal)) });
export const keyExceptionsQuery = (api: OperatorApi) =>
  queryOptions({ queryKey: ['keys', 'exceptions'], queryFn: ({ signal }) => everyPage((cursor) => api.keyExceptions(cursor, signal)) });
