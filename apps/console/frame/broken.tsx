import { useRouteError } from 'react-router';
import { Page } from '../parts/page';
import { words } from '../words/words';

/** The files of a screen did not come: no connection, or a new version has taken their place since the page was opened. */
export class ScreenMissing extends Error {}

/** A bug in the console itself, or a screen that did not load. What is in the books is not touched by it, so the page says so. */
export function Broken() {
  const { title, text } = useRouteError() instanceof ScreenMissing ? words.broken.missing : words.broken.bug;
  return (
    <Page title={title}>
      <p>{text}</p>
      <p>
        <a href={window.location.href}>{words.broken.reload}</a>
      </p>
    </Page>
  );
}
