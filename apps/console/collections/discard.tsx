import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { Collection } from '../api/shapes';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { unless, useSending } from '../parts/use-sending';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { collectionQuery } from './queries';

const text = words.collections.discard;

/** That a collection was discarded and what went with it; or the way to discard one that is not accepted. */
export function Discard({ collectionId }: { readonly collectionId: string }) {
  const { api, may } = useOperator();
  const allowed = may('collection.discard', 'open') || may('collection.discard', 'counted');
  const { data: collection } = useQuery({ ...collectionQuery(api, collectionId), enabled: may('collection.read') });
  const [isAsked, setAsked] = useState(false);
  if (collection === undefined) return null;
  if (collection.discarded !== null) return <Discarded discarded={collection.discarded} />;
  if (collection.state === 'accepted' || !allowed) return null;
  return (
    <div>
      <button type="button" className="button" onClick={() => setAsked(true)}>
        {text.action}
      </button>
      {isAsked ? <DiscardDialog collectionId={collectionId} onClose={() => setAsked(false)} /> : null}
    </div>
  );
}

const kinds = ['counts', 'fieldCounts', 'readings', 'readingTries', 'refundSlips', 'cashHanded', 'bags'] as const;

function Discarded({ discarded }: { readonly discarded: NonNullable<Collection['discarded']> }) {
  const { at, by, reason, withdrawn, withoutSecondPerson } = discarded;
  const actorName = useActorName();
  const gone = kinds.filter((kind) => withdrawn[kind] > 0).map((kind) => text.kinds[kind](withdrawn[kind]));
  return (
    <section className="section" aria-labelledby="discarded">
      <h2 id="discarded">{text.heading}</h2>
      <div className="notice">
        <strong>{text.when(formatInstant(at, locale), actorName(by))}</strong>
        <p>{reason}</p>
        {gone.length === 0 ? null : <p>{text.withdrawn(gone.join(', '))}</p>}
        {withoutSecondPerson ? <p>{text.alone}</p> : null}
      </div>
    </section>
  );
}

function DiscardDialog({ collectionId, onClose }: { readonly collectionId: string; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const [reason, setReason] = useState('');
  const fields = { reason: `${id}-reason` };
  const { errors, busy, submit } = useSending({ send: api.discardCollection, fields, changes: [['collections'], ['sites'], ['month-end'], ['cash']], onDone: onClose });
  return (
    <FormDialog
      title={text.title} errors={errors} busy={busy} action={text.action} onClose={onClose}
      onSubmit={() => submit({ id: collectionId, reason: reason.trim() }, [unless(reason.trim().length >= 3, fields.reason, words.reasonMissing)])}
    >
      <p>{text.what}</p>
      <Field id={fields.reason} label={words.reason} autoComplete="off" error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} />
    </FormDialog>
  );
}
