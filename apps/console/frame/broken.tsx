import { Page } from '../parts/page';
import { words } from '../words/words';

/** A bug in the console itself. What is in the books is not touched by it, so the page says so. */
export function Broken() {
  return (
    <Page title={words.broken.title}>
      <p>{words.broken.text}</p>
      <p>
        <a href={window.location.href}>{words.broken.reload}</a>
      </p>
    </Page>
  );
}
