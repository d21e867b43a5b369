import type { CollectionFilter } from '../api/collections-api';

const states = ['open', 'counted', 'accepted', 'discarded'] as const;

/** Reads the filter out of the address, so that a link can lead to what waits in one month. Nonsense is left out. */
export function filterFrom(parameters: URLSearchParams): CollectionFilter {
  const state = states.find((each) => each === parameters.get('state'));
  const day = (name: string) => /^\d{4}-\d\d-\d\d$/.exec(parameters.get(name) ?? '')?.[0];
  const [from, before] = [day('from'), day('before')];
  const siteId = /^[0-9a-f-]{36}$/.exec(parameters.get('siteId') ?? '')?.[0];
  return {
    ...(state === undefined ? {} : { state }),
    ...(siteId === undefined ? {} : { siteId }),
    ...(from === undefined ? {} : { from }),
    ...(before === undefined ? {} : { before }),
  };
}

/** Address of the list, narrowed. */
export function pathOfCollections(filter: CollectionFilter): string {
  const text = new URLSearchParams(Object.entries(filter).map(([name, value]) => [name, String(value)])).toString();
  return `collections${text === '' ? '' : `?${text}`}`;
}
