import { useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { KeyInventory } from '../../api/shapes';
import { formatInstant } from '../../format/day';
import { locale } from '../../format/locale';
import { ErrorSummary, type FormError } from '../../parts/error-summary';
import { formErrorsOf } from '../../parts/form-errors';
import { useMutation } from '../../parts/use-mutation';
import { useActorName } from '../../session/actor-name';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { Code, CopyLink, Holder } from '../parts';
import { heldTogether, type HeldTogether } from './holders';
import styles from './inventories.module.css';

const text = words.keyInventories;

/** The copies where the books have them, each place with its own button: whoever counts goes from one to the next. */
export function Counting({ inventory }: { readonly inventory: KeyInventory }) {
  return (
    <section className="section" aria-labelledby="places">
      <h2 id="places">{text.places}</h2>
      <div className={styles.places}>
        {heldTogether(inventory.items).map((held) => (
          <Place key={held.key} held={held} inventory={inventory} />
        ))}
      </div>
    </section>
  );
}

interface PlaceProps {
  readonly held: HeldTogether;
  readonly inventory: KeyInventory;
}

function Place({ held: { holder, items, left }, inventory }: PlaceProps) {
  const { api, may, membership } = useOperator();
  const client = useQueryClient();
  const id = useId();
  const [marked, setMarked] = useState<ReadonlySet<string>>(new Set());
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const open = items.filter(({ counted }) => counted === null);
  const done = async () => {
    setMarked(new Set());
    setErrors([]);
    await client.invalidateQueries({ queryKey: ['keys'] });
  };
  const refuse = (error: unknown) => setErrors(formErrorsOf(error));
  const counting = useMutation({ mutationFn: api.countKeys, onSuccess: done, onError: refuse });
  const attesting = useMutation({ mutationFn: api.attestKeys, onSuccess: done, onError: refuse });
  const busy = counting.isPending || attesting.isPending;
  const isOpen = inventory.closed === null && holder !== null && left > 0;
  const isOwn = holder !== null && membership.personId !== null && (holder.id === membership.personId || holder.kind === 'place');
  const mayCount = isOpen && !(holder.kind === 'person' && isOwn) && may('key-inventory.count');
  const submit = () => {
    const seen = open.filter(({ keyCopyId }) => marked.has(keyCopyId)).map(({ keyCopyId }) => keyCopyId);
    if (holder === null || busy) return;
    if (seen.length === 0) setErrors([{ fieldId: `${id}-${open[0]?.keyCopyId ?? ''}`, message: text.markFirst }]);
    else counting.mutate({ id: inventory.id, body: { keyCopyIds: seen, at: { kind: holder.kind, id: holder.id } } });
  };
  return (
    <form
      className={styles.place} aria-labelledby={`${id}-title`} noValidate
      onSubmit={(event) => {
        event.preventDefault();
        submit();
      }}
    >
      <h3 id={`${id}-title`}>{holder === null ? text.out : <Holder holder={holder} />}</h3>
      <p className="soft small">{text.countedOf(items.length - left, items.length)}</p>
      <ErrorSummary errors={errors} />
      <ul>
        {items.map((item) => (
          <li key={item.keyCopyId} className={styles.copy}>
            {mayCount && item.counted === null ? (
              <input
                id={`${id}-${item.keyCopyId}`} type="checkbox" aria-label={text.mark(item.number)} checked={marked.has(item.keyCopyId)}
                onChange={(event) => {
                  setErrors([]);
                  setMarked(toggled(marked, item.keyCopyId, event.currentTarget.checked));
                }}
              />
            ) : null}
            <div>
              <CopyLink id={item.keyCopyId} number={item.number} /> <Code code={item.code} kind={item.class} /> <Counted item={item} />
            </div>
          </li>
        ))}
      </ul>
      {mayCount || (isOpen && isOwn) ? (
        <div className="row">
          {mayCount ? (
            <button type="submit" className="button button-small" aria-disabled={busy}>
              {busy ? words.working : text.seenHere(marked.size)}
            </button>
          ) : null}
          {mayCount && open.length > 1 ? (
            <button type="button" className="button-plain small" onClick={() => setMarked(new Set(open.map(({ keyCopyId }) => keyCopyId)))}>
              {text.markAll}
            </button>
          ) : null}
          {isOpen && isOwn && may('key-inventory.attest') ? (
            <button type="button" className="button button-small" aria-disabled={busy} onClick={() => (busy ? undefined : attesting.mutate({ id: inventory.id, keyCopyIds: open.map(({ keyCopyId }) => keyCopyId) }))}>
              {text.attest}
            </button>
          ) : null}
        </div>
      ) : null}
    </form>
  );
}

function toggled(marked: ReadonlySet<string>, id: string, isMarked: boolean): ReadonlySet<string> {
  const next = new Set(marked);
  if (isMarked) next.add(id);
  else next.delete(id);
  return next;
}

function Counted({ item: { counted } }: { readonly item: KeyInventory['items'][number] }) {
  const nameOf = useActorName();
  if (counted === null) return null;
  const what = { who: nameOf(counted.by), when: formatInstant(counted.at, locale) };
  return (
    <div className="soft small">
      {counted.how === 'seen' ? text.seen(what) : text.attested(what)} {counted.withoutSecondPerson ? text.alone : null}
    </div>
  );
}
