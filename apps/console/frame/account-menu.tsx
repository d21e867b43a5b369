import { useEffect, useId, useRef, useState } from 'react';
import { Link, useLocation } from 'react-router';
import { chooseLanguage, signOut } from '../api/account-api';
import { codeOf } from '../api/problem';
import { Confirm } from '../parts/confirm';
import { useMutation } from '../parts/use-mutation';
import type { Unsent } from '../phone/leave';
import { TroubleNotice } from '../parts/trouble';
import { operatorPath, useOperator } from '../session/operator';
import { words } from '../words/words';
import styles from './frame.module.css';
import { LanguageChoice } from './language-choice';

/** Signing out does not wait longer than this to hear that a begun count was handed in by somebody else. */
const ASKING_MS = 3_000;

const none: Unsent = { visits: 0, counts: 0 };

/** Who is signed in, for which operator, and the way to another operator and out. */
export function AccountMenu() {
  const { membership, account, api, may, to } = useOperator();
  const menuId = useId();
  const menu = useRef<HTMLDivElement>(null);
  const { pathname } = useLocation();
  // The screen below has changed; the menu would lie over it.
  useEffect(() => menu.current?.hidePopover(), [pathname]);
  const others = account.operators.filter((each) => each.id !== membership.id);
  const [unsent, setUnsent] = useState(none);
  const keeps = may('visit.send') || may('collection.count', 'open');
  const holder = { operatorId: membership.id, accountId: account.id };
  const asking = useMutation({
    mutationFn: async () => (keeps ? (await (await import('../phone/leave')).unsentWork(holder, (id) => api.collection(id, AbortSignal.timeout(ASKING_MS)))) : none),
    onSettled: (found = none) => (found.visits + found.counts > 0 ? setUnsent(found) : leaving.mutate()),
  });
  const leaving = useMutation({
    mutationFn: async () => {
      await signOut().catch((error: unknown) => {
        if (codeOf(error) !== 'not-signed-in') throw error;
      });
      // Only now: whoever cannot sign out, without a connection, goes on working.
      if (keeps) await import('../phone/leave').then(({ leavePhone }) => leavePhone(holder)).catch(() => undefined);
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
          {may('site.create') ? <Link to={to('set-up')}>{words.frame.toSetUp}</Link> : null}
          {may('member.read') ? <Link to={to('people')}>{words.frame.toPeople}</Link> : null}
          {may('api-token.read') ? <Link to={to('tokens')}>{words.frame.toTokens}</Link> : null}
          {may('webhook.read') ? <Link to={to('webhooks')}>{words.frame.toWebhooks}</Link> : null}
          {may('audit-trail.read') ? <Link to={to('audit')}>{words.frame.toAudit}</Link> : null}
          {may('evidence.read') ? <Link to={to('evidence')}>{words.frame.toEvidence}</Link> : null}
          {may('retention.read') ? <Link to={to('retention')}>{words.frame.toRetention}</Link> : null}
          {may('signing-key.read') ? <Link to={to('signature')}>{words.signature.title}</Link> : null}
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
          <LanguageChoice onChoose={chooseLanguage} />
          {leaving.isError ? <TroubleNotice error={leaving.error} /> : null}
          <div>
            <button type="button" className="button" onClick={() => asking.mutate()} aria-disabled={leaving.isPending}>
              {words.frame.signOut}
            </button>
          </div>
        </div>
      </div>
      {unsent.visits + unsent.counts === 0 ? null : (
        <Confirm title={words.unsentVisits.title} action={words.unsentVisits.action} busy={leaving.isPending} error={leaving.error} onConfirm={() => leaving.mutate()} onClose={() => setUnsent(none)}>
          {unsent.visits === 0 ? null : <p>{words.unsentVisits.what(unsent.visits)}</p>}
          {unsent.counts === 0 ? null : <p>{words.unsentVisits.counts(unsent.counts)}</p>}
        </Confirm>
      )}
    </div>
  );
}
