import { Link } from 'react-router';
import { words } from '../words/words';
import { useOperator } from '../session/operator';
import { Page } from './page';

/** A screen that the role is not for. The api would refuse too; this saves the question and says who can help. */
export function Denied({ title }: { readonly title: string }) {
  const { membership, to } = useOperator();
  return (
    <Page title={title}>
      <div className="notice">
        <strong>{words.denied.title}</strong>
        <p>{words.denied.text(words.roles[membership.role])}</p>
        <p>
          <Link to={to('')}>{words.notFound.home}</Link>
        </p>
      </div>
    </Page>
  );
}
