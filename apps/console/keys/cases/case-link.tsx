import { useQuery } from '@tanstack/react-query';
import { Link } from 'react-router';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { casesQuery } from './queries';

/** The way to what is done about a copy that was lost, while that goes on. */
export function CaseLink({ copyId, look = 'main' }: { readonly copyId: string; readonly look?: 'main' | 'small' }) {
  const { api, may, to } = useOperator();
  const { data } = useQuery({ ...casesQuery(api), enabled: may('key-case.read') });
  const open = data?.find(({ closed, lostCopies }) => closed === null && lostCopies.some(({ keyCopyId }) => keyCopyId === copyId));
  if (open === undefined) return null;
  return (
    <Link className={`button button-${look}`} to={to(`keys/cases/${open.id}`)}>
      {words.keyCases.ofCopy}
    </Link>
  );
}
