import { keepPreviousData, queryOptions } from '@tanstack/react-query';
import type { OperatorApi } from '../api/operator-api';
import type { RetentionRule } from '../api/shapes';

/** Everything about keeping lies under this key. */
export const retentionKey = ['retention'] as const;

export const retentionQuery = (api: OperatorApi) => queryOptions({ queryKey: [...retentionKey, 'rules'], queryFn: ({ signal }) => api.retention(signal) });

/** What would go: of every kind as it is decided, or of one as if it were kept for so long. */
export const previewQuery = (api: OperatorApi, as: { readonly kind: RetentionRule['kind']; readonly keep: number } | null = null) =>
  queryOptions({ queryKey: [...retentionKey, 'preview', as], queryFn: ({ signal }) => api.retentionPreview(as, signal), placeholderData: keepPreviousData });
