import { useEffect, useRef, type ReactNode } from 'react';
import { NavigationType, useNavigationType } from 'react-router';
import { words } from '../words/words';
import styles from './page.module.css';

interface PageProps {
  readonly title: string;
  /** What stands under the title and says what this is about. */
  readonly lead?: ReactNode;
  readonly actions?: ReactNode;
  readonly children: ReactNode;
}

/** One screen: names the document, and takes the focus to its title when the user has come here from another screen. */
export function Page({ title, lead, actions, children }: PageProps) {
  const heading = useRef<HTMLHeadingElement>(null);
  const arrivedBy = useNavigationType();
  useEffect(() => {
    document.title = words.documentTitle(title);
  }, [title]);
  useEffect(() => {
    // Going back restores the scroll position, which moving the focus would undo.
    if (arrivedBy === NavigationType.Push) heading.current?.focus({ preventScroll: true });
    // Once: another choice on the same screen changes the address, too, and its field would lose the focus.
  }, []);
  return (
    <main id="main" className={styles.page}>
      <header className={styles.head}>
        <div className={styles.titles}>
          <h1 ref={heading} tabIndex={-1}>
            {title}
          </h1>
          {lead === undefined ? null : <div className={styles.lead}>{lead}</div>}
        </div>
        {actions === undefined ? null : <div className={styles.actions}>{actions}</div>}
      </header>
      {children}
    </main>
  );
}
