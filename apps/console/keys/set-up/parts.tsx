import type { ReactNode } from 'react';
import { NavLink } from 'react-router';
import { isCode } from '../../format/code';
import type { FormError } from '../../parts/error-summary';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import styles from '../keys.module.css';

const text = words.keySetUp;

/** The ways between the screens of setting up. */
export function SetUpViews() {
  const { to } = useOperator();
  const views = [
    { path: 'keys/set-up', text: text.title },
    { path: 'keys/codes', text: text.codes.title },
    { path: 'keys/stores', text: text.stores.title },
    { path: 'keys/sites', text: text.sites.title },
    { path: 'keys/rings', text: text.rings.title },
    { path: 'keys/exceptions', text: text.exceptions.title },
    { path: 'keys/policy', text: words.keyPolicy.title },
  ];
  return (
    <nav aria-label={text.views} className={styles.views}>
      {views.map((view) => (
        <NavLink key={view.path} to={to(view.path)} end className="button button-small">
          {view.text}
        </NavLink>
      ))}
    </nav>
  );
}

interface OpenButtonProps {
  readonly children: ReactNode;
  readonly main?: boolean;
  /** What it is about, for those who hear the button without the row around it. */
  readonly about?: string;
  readonly onClick: () => void;
}

export function OpenButton({ children, main = false, about, onClick }: OpenButtonProps) {
  return (
    <button type="button" className={main ? 'button button-main' : 'button button-small'} onClick={onClick}>
      {children}
      {about === undefined ? null : <span className="visually-hidden">{text.about(about)}</span>}
    </button>
  );
}

export { asCode } from '../../format/code';

/** What is wrong with a code as it was typed, if anything. */
export function wrongCode(typed: string, fieldId: string): FormError | null {
  if (typed.trim() === '') return { fieldId, message: text.codeMissing };
  return isCode({ typed }) ? null : { fieldId, message: text.codeWrong };
}
