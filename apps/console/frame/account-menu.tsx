import { useMutation } from '@tanstack/react-query';
import { useEffect, useId, useRef } from 'react';
import { Link, useLocation } from 'react-router';
import { signOut } from '../api/account-api';
import { codeOf } from '../api/problem';
import { TroubleNotice } from '../parts/trouble';
import { operatorPath, useOperator } from '../session/operator';
import { words } from '../words/words';
import styles from './frame.module.css';

/** Who is signed in, for which operator, and the way to another operator and out. */
export function AccountMenu() {
  const { membership, account, may, to } = useOperator();
  const menuId = useId();
  const menu = useRef<HTMLDivElement>(null);
  const { pathname } = useLocation();
  // The screen below has changed; the menu would lie over it.
  useEffect(() => menu.current?.hidePopover(), [pathname]);
  const others = account.operators.filter((each) => each.id !== membership.id);
  const leaving = useMutation({
    mutationFn: async () => {
      await signOut().catch((error: unknown) => {
        if (codeOf(error) !== 'not-signed-in') throw error;
      });
      // A new document: nothing that was read for this user stays in memory.
      window.location.assign('/sign-in');
    },
  });
  return (
    <div className={styles.account}>
      <button type="button" popoverTarget={menuId}>
        {account.name}
        <svg viewBox="0 0 12 12" aria-hidden="true" focusable="false">
          <path d="M2 4l4 4 4-4" fill="none" stroke="currentColor" strokeWidth="1.75" />
        </svg>
      </button>
      <div ref={menu} id={menuId} popover="auto" className={styles.menu} role="group" aria-label={words.frame.account}>
        <div className="stack">
          <div>
            <div>{account.email}</div>
            <div className="soft small">{words.roles[membership.role]}</div>
          </div>
          <Link to={to('account')}>{words.frame.toAccount}</Link>
          {may('member.read') ? <Link to={to('people')}>{words.frame.toPeople}</Link> : null}
          {may('api-token.read') ? <Link to={to('tokens')}>{words.frame.toTokens}</Link> : null}
          {others.length === 0 ? null : (
            <nav aria-label={words.frame.otherOperators} className={styles.others}>
              <strong>{words.frame.otherOperators}</strong>
              {others.map(({ id, code, name, role }) => (
                <Link key={id} to={operatorPath(code)}>
                  {name}
                  <span className="visually-hidden">{`, ${words.roles[role]}`}</span>
                </Link>
              ))}
            </nav>
          )}
          {leaving.isError ? <TroubleNotice error={leaving.error} /> : null}
          <div>
            <button type="button" className="button" onClick={() => leaving.mutate()} aria-disabled={leaving.isPending}>
              {words.frame.signOut}
            </button>
          </div>
        </div>
      </div>
    </div>
  );
}
