import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { OwnKeyInventories } from '../../api/shapes';
import { TroubleNotice } from '../../parts/trouble';
import { useMutation } from '../../parts/use-mutation';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { Moment } from '../parts';
import { ownInventoriesQuery } from '../record/queries';
import styles from '../keys.module.css';

const text = words.custody.ownKeys;

type Count = OwnKeyInventories['items'][number];

/** Open counts that ask for keys of whoever is signed in, who says which of them they have; nothing where there is none. */
export function OwnInventories() {
  const { api, may } = useOperator();
  const question = useQuery({ ...ownInventoriesQuery(api), enabled: may('key-inventory.attest') && may('own-keys.read') });
  if (question.isError) return <TroubleNotice error={question.error} onRetry={() => void question.refetch()} />;
  if (question.data === undefined || question.data.items.length === 0) return null;
  return (
    <section className="section" aria-labelledby="counts">
      <h2 id="counts">{text.counts}</h2>
      <ul>
        {question.data.items.map((count) => (
          <Attest key={count.id} count={count} />
        ))}
      </ul>
    </section>
  );
}

function Attest({ count }: { readonly count: Count }) {
  const { api } = useOperator();
  const client = useQueryClient();
  const id = useId();
  const [ticked, setTicked] = useState<readonly string[]>([]);
  const [isEmpty, setEmpty] = useState(false);
  const attesting = useMutation({ mutationFn: api.attestKeys, onSuccess: () => client.invalidateQueries({ queryKey: ['keys'] }) });
  const left = count.copies.filter(({ counted }) => !counted);
  const chosen = left.map(({ keyCopyId }) => keyCopyId).filter((copyId) => ticked.includes(copyId));
  const send = () => {
    setEmpty(chosen.length === 0);
    if (chosen.length > 0 && !attesting.isPending) attesting.mutate({ id: count.id, keyCopyIds: chosen });
  };
  if (left.length === 0) {
    return (
      <li className={styles.held}>
        <p role="status">{text.attested}</p>
      </li>
    );
  }
  return (
    <li className={styles.held}>
      <p className="soft">
        <Moment instant={count.openedAt} />. {text.countWhat(count.reason)}
      </p>
      <fieldset className={styles.ticks} aria-describedby={isEmpty && chosen.length === 0 ? `${id}-error` : undefined}>
        <legend>{text.countAsk}</legend>
        {isEmpty && chosen.length === 0 ? (
          <span id={`${id}-error`} role="alert" className="field-error">
            {text.attestNone}
          </span>
        ) : null}
        {left.map(({ keyCopyId, number, holder }) => (
          <label key={keyCopyId}>
            <input
              type="checkbox" checked={ticked.includes(keyCopyId)}
              onChange={(event) => setTicked(event.currentTarget.checked ? [...ticked, keyCopyId] : ticked.filter((each) => each !== keyCopyId))}
            />
            {text.have(number, holder.kind === 'person' ? null : holder.name)}
          </label>
        ))}
      </fieldset>
      <p className="soft small">{text.notHere}</p>
      {attesting.isError ? <TroubleNotice error={attesting.error} /> : null}
      <div>
        <button type="button" className="button button-main" aria-disabled={attesting.isPending} onClick={send}>
          {attesting.isPending ? words.working : text.attest}
        </button>
      </div>
    </li>
  );
}
