import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';

const text = words.besideCounts;

interface Correctable {
  readonly replacesId: string | null;
  readonly replacedById: string | null;
  readonly reason: string | null;
  readonly withoutSecondPerson: boolean;
  readonly recordedBy: string;
}

/** Who recorded it, and whether it stands in the place of another, or another in its place. */
export function RecordedBy({ record }: { readonly record: Correctable }) {
  const nameOf = useActorName();
  const { replacesId, replacedById, reason, withoutSecondPerson, recordedBy } = record;
  return (
    <>
      <div className="soft small">{replacesId === null ? text.by(nameOf(recordedBy)) : text.correctedBy(nameOf(recordedBy), reason ?? '')}</div>
      {withoutSecondPerson ? <div className="soft small">{text.alone}</div> : null}
      {replacedById === null ? null : <span className="state">{text.replaced}</span>}
    </>
  );
}

/** That somebody else is needed, before anything is typed. */
export function OwnRecord({ recordedBy }: { readonly recordedBy: string }) {
  const { account } = useOperator();
  return recordedBy === `user:${account.id}` ? <p className="notice">{words.entered.ownFigure}</p> : null;
}
