import { Link } from 'react-router';
import { Page } from '../parts/page';
import { words } from '../words/words';

export function NotFound() {
  return (
    <Page title={words.notFound.title}>
      <p>{words.notFound.text}</p>
      <p>
        <Link to="/">{words.notFound.home}</Link>
      </p>
    </Page>
  );
}
