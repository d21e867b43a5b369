import { useQuery } from '@tanstack/react-query';
import { coinSetsQuery } from '../collections/queries';
import { issueName } from '../phone/issue-name';
import { useOperator } from '../session/operator';

/** What people call a denomination that a phone sent by its id; the id itself of one that is not known, or not known yet. */
export function useIssueNames(): (id: string) => string {
  const { api, may } = useOperator();
  const { data = [] } = useQuery({ ...coinSetsQuery(api), enabled: may('scale-check.read') });
  const names = new Map(data.flatMap((coinSet) => coinSet.issues.map((issue) => [issue.id, issueName(issue, coinSet)])));
  return (id) => names.get(id) ?? id;
}
