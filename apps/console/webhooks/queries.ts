import { infiniteQueryOptions, queryOptions } from '@tanstack/react-query';
import type { OperatorApi } from '../api/operator-api';
import type { WebhookDelivery } from '../api/shapes';

/** Everything about webhooks lies under this key: what one step changes, the others show. */
export const webhooksKey = ['webhooks'] as const;

/** What is on its way comes to an end while somebody looks. */
const LOOK_AGAIN_MS = 2000;
const isUnderWay = ({ state, attempts }: WebhookDelivery) => state === 'sending' || (state === 'waiting' && attempts === 0);

export const webhooksQuery = (api: OperatorApi) => queryOptions({ queryKey: [...webhooksKey, 'list'], queryFn: ({ signal }) => api.webhooks(signal) });
export const webhookQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: [...webhooksKey, id], queryFn: ({ signal }) => api.webhook(id, signal) });
export const deliveryQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: [...webhooksKey, 'delivery', id], queryFn: ({ signal }) => api.webhookDelivery(id, signal) });
export const deliveriesQuery = (api: OperatorApi, list: { readonly id: string; readonly state: WebhookDelivery['state'] | null }) =>
  infiniteQueryOptions({
    queryKey: [...webhooksKey, list.id, 'deliveries', list.state],
    queryFn: ({ pageParam, signal }) => api.webhookDeliveries(list, pageParam, signal),
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
    refetchInterval: ({ state: { data } }) => (data?.pages.some(({ items }) => items.some(isUnderWay)) === true ? LOOK_AGAIN_MS : false),
  });
