import { useEffect } from 'react';
import { NavLink, useNavigate } from 'react-router';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import styles from './search.module.css';
import { isShortcut, shortcutKeys } from './shortcut';

/** The way to the search, from every page, also by the keyboard. */
export function SearchLink() {
  const { to } = useOperator();
  const goTo = useNavigate();
  const address = to('search');
  useEffect(() => {
    const go = (event: KeyboardEvent) => {
      if (!isShortcut(event) || document.querySelector('dialog[open]') !== null) return;
      event.preventDefault();
      void goTo(address);
    };
    document.addEventListener('keydown', go);
    return () => document.removeEventListener('keydown', go);
  }, [goTo, address]);
  return (
    <NavLink to={address} className={styles.link ?? ''} title={shortcutKeys} aria-keyshortcuts="Control+K Meta+K">
      <svg viewBox="0 0 20 20" aria-hidden="true" focusable="false">
        <circle cx="8.5" cy="8.5" r="5.5" fill="none" stroke="currentColor" strokeWidth="2" />
        <path d="M13 13l5 5" stroke="currentColor" strokeWidth="2" />
      </svg>
      <span>{words.frame.search}</span>
    </NavLink>
  );
}
