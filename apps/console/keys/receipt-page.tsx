import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useEffect, useState } from 'react';
import { confirmCustody, denyCustody, lookAtCustodyLink } from '../api/account-api';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import type { CustodyConfirmation } from '../generated';
import { Answer } from '../parts/answer';
import { Page } from '../parts/page';
import { TroubleNotice } from '../parts/trouble';
import { useMutation } from '../parts/use-mutation';
import signInStyles from '../session/sign-in.module.css';
import { words } from '../words/words';
import styles from './keys.module.css';

const text = words.keyReceipt;
const own = words.custody.ownKeys;

/** `key-receipt#secret`: where somebody says, without signing in, that they gave or received a key, or that they did not. */
export function ReceiptPage() {
  // Read once and taken out of the address, so that it stays in no history and no screenshot.
  const [secret] = useState(() => window.location.hash.slice(1));
  useEffect(() => window.history.replaceState(window.history.state, '', '/key-receipt'), []);
  const key = ['key-receipt', secret];
  const client = useQueryClient();
  const question = useQuery({ queryKey: key, queryFn: () => lookAtCustodyLink(secret), staleTime: Infinity, gcTime: 0 });
  const onSuccess = (said: CustodyConfirmation) => client.setQueryData(key, said);
  const confirming = useMutation({ mutationFn: () => confirmCustody(secret), onSuccess });
  const denying = useMutation({ mutationFn: () => denyCustody(secret), onSuccess });
  const isBusy = confirming.isPending || denying.isPending;
  // What went wrong with one answer is over once the other is given.
  const say = (asked: typeof confirming, other: typeof confirming) => {
    if (isBusy) return;
    if (other.isError) other.reset();
    asked.mutate();
  };
  return (
    <div className={signInStyles.frame}>
      <Page title={text.title} lead={question.data?.operatorName}>
        <Answer question={question}>
          {(found) => (
            <div className="stack">
              <p className="lead">{text.asks[found.side](found.personName)}</p>
              <Facts found={found} />
              {confirming.error === null ? null : <TroubleNotice error={confirming.error} />}
              {denying.error === null ? null : <TroubleNotice error={denying.error} />}
              <div role="status">
                {found.confirmedAt === null ? null : <p className="notice">{text.confirmed(formatInstant(found.confirmedAt, locale))}</p>}
                {found.confirmedAt !== null || found.deniedAt === null || found.deniedHow === null ? null : <p className="notice">{own.denied[found.side](formatInstant(found.deniedAt, locale), words.custody.confirm.how[found.deniedHow])}</p>}
              </div>
              {found.confirmedAt === null ? (
                <>
                  {found.deniedAt === null ? <p>{own.notSo}</p> : null}
                  <div className="row">
                    <button type="button" className={found.deniedAt === null ? 'button button-main' : 'button'} aria-disabled={isBusy} onClick={() => say(confirming, denying)}>
                      {confirming.isPending ? words.working : text.confirm[found.side]}
                    </button>
                    {found.deniedAt === null ? (
                      <button type="button" className="button" aria-disabled={isBusy} onClick={() => say(denying, confirming)}>
                        {denying.isPending ? words.working : own.deny[found.side]}
                      </button>
                    ) : null}
                  </div>
                </>
              ) : null}
            </div>
          )}
        </Answer>
      </Page>
    </div>
  );
}

function Facts({ found }: { readonly found: CustodyConfirmation }) {
  const facts = [
    [text.what, text.says(found.says)],
    [text.keys, found.copies.map(({ number, class: keyClass }) => `${number}, ${words.keys.class[keyClass]}`).join('; ')],
    [text.from, found.fromName],
    [text.to, found.toName],
    [text.when, formatInstant(found.happenedAt, locale)],
    ...(found.dueBackAt === null ? [] : [[words.keys.dueBack, formatInstant(found.dueBackAt, locale)]]),
  ];
  return (
    <dl className={styles.facts}>
      {facts.map(([name, value]) => (
        <div key={name}>
          <dt>{name}</dt>
          <dd>{value}</dd>
        </div>
      ))}
    </dl>
  );
}
