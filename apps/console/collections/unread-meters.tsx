import { useId, useState } from 'react';
import type { UnreadMeter } from '../api/shapes';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { FormDialog } from '../parts/form-dialog';
import { unless, useSending } from '../parts/use-sending';
import { missingIn, notSaid, readUnread, WhyNotRead } from '../parts/why-not-read';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { OpenButton } from '../set-up/parts';
import { words } from '../words/words';

const text = words.notRead;

/** A reason in words, with what was added to it. */
export function reasonOf(said: UnreadMeter['said']): string {
  return said === null ? text.noneGiven : text.because(text.why[said.why], said.note);
}

/** Meters that were not read at a collection, each with its reason; who may say or correct one does so here. */
export function UnreadMeters({ collectionId, meters, isDiscarded = false }: { readonly collectionId: string; readonly meters: readonly UnreadMeter[]; readonly isDiscarded?: boolean }) {
  const { may } = useOperator();
  const [asked, setAsked] = useState<UnreadMeter | null>(null);
  if (meters.length === 0) return null;
  const maySay = !isDiscarded && may('meter-reading.record');
  return (
    <section className="section" aria-labelledby="unread-meters">
      <h2 id="unread-meters">{text.title}</h2>
      <p className="soft">{text.lead}</p>
      <ul className="stack">
        {meters.map((meter) => (
          <li key={meter.meterId}>
            <p>
              {text.meter(meter.machineTag, meter.meterLabel)}: {reasonOf(meter.said)}{' '}
              {maySay ? <OpenButton about={text.meter(meter.machineTag, meter.meterLabel)} onClick={() => setAsked(meter)}>{meter.said === null ? text.say : text.sayAnew}</OpenButton> : null}
            </p>
            <Saids meter={meter} />
          </li>
        ))}
      </ul>
      {asked === null ? null : <SayWhy collectionId={collectionId} meter={asked} onClose={() => setAsked(null)} />}
    </section>
  );
}

/** Who said it, and what was said before. */
function Saids({ meter: { said, before } }: { readonly meter: UnreadMeter }) {
  const nameOf = useActorName();
  if (said === null) return null;
  const moment = (instant: string): string => formatInstant(instant, locale);
  return (
    <>
      <p className="soft small">{text.by({ by: nameOf(said.recordedBy), moment: moment(said.recordedAt) })}</p>
      {before.map((earlier) => (
        <p key={`${earlier.recordedAt} ${earlier.why}`} className="soft small">
          {text.before({ why: reasonOf(earlier), by: nameOf(earlier.recordedBy), moment: moment(earlier.recordedAt) })}
        </p>
      ))}
    </>
  );
}

function SayWhy({ collectionId, meter, onClose }: { readonly collectionId: string; readonly meter: UnreadMeter; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const [unread, setUnread] = useState(notSaid);
  const { errors, busy, submit } = useSending({ send: api.sayWhyNotRead, fields: { meters: `${id}-why` }, changes: [['collections'], ['variances']], onDone: onClose });
  const send = () => {
    const missing = missingIn(unread);
    const read = readUnread(unread);
    submit({ collectionId, body: { meters: read === null ? [] : [{ meterId: meter.meterId, ...read }] } }, [unless(missing !== 'why', `${id}-why`, text.whyMissing), unless(missing !== 'note', `${id}-note`, text.noteMissing)]);
  };
  return (
    <FormDialog title={text.sayTitle(meter.machineTag, meter.meterLabel)} lead={text.sayLead} errors={errors} busy={busy} action={text.say} onSubmit={send} onClose={onClose}>
      <WhyNotRead id={id} label={text.meter(meter.machineTag, meter.meterLabel)} unread={unread} errors={errors} onUnread={setUnread} />
    </FormDialog>
  );
}
