import { useQuery, useQueryClient } from '@tanstack/react-query';
import type { CustodyToConfirm } from '../../api/shapes';
import { formatInstant } from '../../format/day';
import { locale } from '../../format/locale';
import { TroubleNotice } from '../../parts/trouble';
import { useMutation } from '../../parts/use-mutation';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { Moment } from '../parts';
import { toConfirmQuery } from '../record/queries';
import styles from '../keys.module.css';

const text = words.custody.ownKeys;

/** What whoever is signed in still has to confirm, each with its button; nothing where there is nothing. */
export function ToConfirm() {
  const { api, may } = useOperator();
  const question = useQuery({ ...toConfirmQuery(api), enabled: may('custody.acknowledge') });
  if (question.isError) return <TroubleNotice error={question.error} onRetry={() => void question.refetch()} />;
  if (question.data === undefined || question.data.items.length === 0) return null;
  return (
    <section className="section" aria-labelledby="to-confirm">
      <h2 id="to-confirm">{text.toConfirm}</h2>
      <ul>
        {question.data.items.map((item) => (
          <One key={`${item.eventId} ${item.side}`} item={item} />
        ))}
      </ul>
      <p className="soft">{text.notSo}</p>
    </section>
  );
}

function One({ item }: { readonly item: CustodyToConfirm['items'][number] }) {
  const { api } = useOperator();
  const client = useQueryClient();
  const confirming = useMutation({ mutationFn: api.acknowledgeKeys, onSuccess: () => client.invalidateQueries({ queryKey: ['keys'] }) });
  const denying = useMutation({ mutationFn: api.denyKeys, onSuccess: () => client.invalidateQueries({ queryKey: ['keys'] }) });
  const { eventId, side, happenedAt, acknowledgeBy, late, deniedAt, deniedHow, dueBackAt, from, to, copies } = item;
  const isBusy = confirming.isPending || denying.isPending;
  // What went wrong with one answer is over once the other is given.
  const say = (asked: typeof confirming, other: typeof confirming) => {
    if (isBusy) return;
    if (other.isError) other.reset();
    asked.mutate({ eventId, side });
  };
  const numbers = copies.map(({ number }) => number).join(', ');
  return (
    <li className={styles.held}>
      <h3>{side === 'giver' ? text.gave({ numbers, to: to?.name ?? '' }) : text.received({ numbers, from: from?.name ?? '' })}</h3>
      <p className="soft">
        <Moment instant={happenedAt} />
        {dueBackAt === null ? null : <>, {words.keys.dueBack} <Moment instant={dueBackAt} /></>}
      </p>
      <p className={late ? 'state-alarm' : 'soft'}>
        {late ? `${text.late}. ` : null}
        {text.confirmBy} <Moment instant={acknowledgeBy} />
      </p>
      <div role="status">{deniedAt === null || deniedHow === null ? null : <p className="notice">{text.denied[side](formatInstant(deniedAt, locale), words.custody.confirm.how[deniedHow])}</p>}</div>
      {confirming.isError ? <TroubleNotice error={confirming.error} /> : null}
      {denying.isError ? <TroubleNotice error={denying.error} /> : null}
      <div className="row">
        <button type="button" className={deniedAt === null ? 'button button-main' : 'button'} aria-disabled={isBusy} onClick={() => say(confirming, denying)}>
          {confirming.isPending ? words.working : words.keyReceipt.confirm[side]}
          <span className="visually-hidden">{` ${numbers}`}</span>
        </button>
        {deniedAt === null ? (
          <button type="button" className="button" aria-disabled={isBusy} onClick={() => say(denying, confirming)}>
            {denying.isPending ? words.working : text.deny[side]}
            <span className="visually-hidden">{` ${numbers}`}</span>
          </button>
        ) : null}
      </div>
    </li>
  );
}
