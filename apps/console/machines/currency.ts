import { useQuery } from '@tanstack/react-query';
import { isCurrencyCode, type CurrencyCode } from '#domain/money/currency';
import type { Need } from '../parts/needs';
import { useOperator } from '../session/operator';
import { operatorQuery } from '../set-up/queries';
import { siteQuery } from '../sites/queries';

/** In which currency a machine takes money: that of its site; in the shop that of the books. Null until it is known. */
export function useCurrencyAt(siteId: string | undefined): { readonly currency: CurrencyCode | null; readonly needs: readonly Need[] } {
  const { api } = useOperator();
  const site = useQuery({ ...siteQuery(api, siteId ?? ''), enabled: siteId !== undefined });
  const office = useQuery({ ...operatorQuery(api), enabled: siteId === undefined });
  const currency = siteId === undefined ? office.data?.currency : site.data?.currency;
  return { currency: currency !== undefined && isCurrencyCode(currency) ? currency : null, needs: [site, office] };
}
