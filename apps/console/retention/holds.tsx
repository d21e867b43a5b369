import { useState } from 'react';
import type { RetentionHold } from '../api/shapes';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { ConfirmWithReason } from '../parts/confirm-with-reason';
import { useEnding } from '../parts/use-ending';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { retentionKey } from './queries';

const text = words.retention;

/** What stops removing, and what stopped it before. */
export function Holds({ holds }: { readonly holds: readonly RetentionHold[] }) {
  const { api, may } = useOperator();
  const [isPlacing, setPlacing] = useState(false);
  const placing = useEnding({ send: api.placeHold, changes: [retentionKey], onDone: () => setPlacing(false) });
  return (
    <section className="section" aria-labelledby="holds">
      <h2 id="holds">{text.holds}</h2>
      <p>{text.holdsWhat}</p>
      {holds.some(({ lifted }) => lifted === null) ? null : <p className="soft">{text.noHold}</p>}
      <ul>
        {holds.map((hold) => (
          <Hold key={hold.id} hold={hold} />
        ))}
      </ul>
      {may('retention.hold') ? (
        <div>
          <button type="button" className="button" onClick={() => setPlacing(true)}>
            {text.hold}
          </button>
        </div>
      ) : null}
      {isPlacing ? (
        <ConfirmWithReason
          title={text.holdTitle} what={text.holdWhat} action={text.hold} busy={placing.isPending} error={placing.error}
          onConfirm={(reason) => placing.mutate({ reason })} onClose={() => setPlacing(false)}
        />
      ) : null}
    </section>
  );
}

function Hold({ hold: { id, reason, placedAt, placedBy, lifted } }: { readonly hold: RetentionHold }) {
  const { api, may } = useOperator();
  const nameOf = useActorName();
  const [isLifting, setLifting] = useState(false);
  const lifting = useEnding({ send: api.liftHold, changes: [retentionKey], onDone: () => setLifting(false) });
  return (
    <li>
      {lifted === null ? <strong>{reason}</strong> : reason}
      <div className="soft small">{text.heldSince({ by: nameOf(placedBy), when: formatInstant(placedAt, locale) })}</div>
      {lifted === null ? null : <div className="soft small">{text.lifted({ by: nameOf(lifted.by), when: formatInstant(lifted.at, locale), reason: lifted.reason })}</div>}
      {lifted === null && may('retention.hold') ? (
        <button type="button" className="button button-small" onClick={() => setLifting(true)}>
          {text.lift}
          <span className="visually-hidden">{` ${reason}`}</span>
        </button>
      ) : null}
      {isLifting ? (
        <ConfirmWithReason
          title={text.liftTitle} what={text.liftWhat} action={text.lift} busy={lifting.isPending} error={lifting.error}
          onConfirm={(why) => lifting.mutate({ id, reason: why })} onClose={() => setLifting(false)}
        />
      ) : null}
    </li>
  );
}
