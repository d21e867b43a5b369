import { useQuery } from '@tanstack/react-query';
import { everySiteQuery } from '../keys/queries';
import { useOperator } from '../session/operator';

/** A site as people call it, with its code; the code alone while its name is not known. */
export function useSiteNames(): (code: string) => string {
  const { api, may } = useOperator();
  const { data } = useQuery({ ...everySiteQuery(api), enabled: may('site.read') });
  return (code) => {
    const name = data?.find((site) => site.code === code)?.name;
    return name === undefined ? code : `${name} (${code})`;
  };
}
