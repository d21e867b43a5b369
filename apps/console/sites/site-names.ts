import { useQuery } from '@tanstack/react-query';
import { everySiteQuery } from '../keys/queries';
import { useOperator } from '../session/operator';

/** The time zone in which a site is; nothing while that is not known. */
export function useSiteZones(): (site: { readonly code: string | null } | { readonly id: string }) => string | undefined {
  const { api, may } = useOperator();
  const { data } = useQuery({ ...everySiteQuery(api), enabled: may('site.read') });
  return (site) => data?.find((each) => ('id' in site ? each.id === site.id : each.code === site.code))?.timeZone;
}

/** A site as people call it, with its code; the code alone while its name is not known. Nothing is asked where the screen is not open to its reader. */
export function useSiteNames(isOpen = true): (code: string) => string {
  const { api, may } = useOperator();
  const { data } = useQuery({ ...everySiteQuery(api), enabled: isOpen && may('site.read') });
  return (code) => {
    const name = data?.find((site) => site.code === code)?.name;
    return name === undefined ? code : `${name} (${code})`;
  };
}
