import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { Link } from 'react-router';
import type { AskedAmount, Collection } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import { reasonErrors } from '../parts/booking-fields';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { errorAt, Form } from '../parts/form';
import { recordingErrorsOf } from '../parts/form-errors';
import { useMutation } from '../parts/use-mutation';
import { emptyBox, meteredOf } from '../phone/box-draft';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { collectionQuery } from './queries';
import { whyUntold } from './untold-box';

const text = words.entered.metered;

/** What the meters of boxes imply where the terms go by them and they cannot tell it: said by the office, apart from the counts. */
export function Metered({ collectionId }: { readonly collectionId: string }) {
  const { api, may } = useOperator();
  const { data: collection } = useQuery({ ...collectionQuery(api, collectionId), enabled: may('collection.read') });
  const nameOf = useActorName();
  if (collection === undefined) return null;
  const said = collection.meteredAmounts ?? [];
  const asked = collection.state !== 'open' && may('collection.meter', collection.state) ? collection.meteredAsked : [];
  if (said.length + asked.length === 0) return null;
  return (
    <section className="section" aria-labelledby="metered">
      <h2 id="metered">{text.title}</h2>
      {said.length === 0 ? null : (
        <ul>
          {said.map(({ machineId, machineTag, amount, reason, recordedBy }) => (
            <li key={machineId}>{text.said({ machine: machineTag, amount: formatMoney(amount, locale), by: nameOf(recordedBy), reason })}</li>
          ))}
        </ul>
      )}
      {asked.length === 0 ? null : <AskedAmounts collection={collection} asked={asked} />}
    </section>
  );
}

const isRecorded = ({ why }: AskedAmount): boolean => !why.includes('not-recorded');

function AskedAmounts({ collection, asked }: { readonly collection: Collection; readonly asked: readonly AskedAmount[] }) {
  const { api, to } = useOperator();
  const client = useQueryClient();
  const id = useId();
  const [typed, setTyped] = useState<Readonly<Record<string, string>>>({});
  const [reasons, setReasons] = useState<Readonly<Record<string, string>>>({});
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const { currency } = collection.counted;
  const fieldOf = (machineTag: string | undefined, place = '') => `${id}-${machineTag ?? ''}${place.endsWith('/reason') ? '-reason' : ''}`;
  const sending = useMutation({
    isOneThing: true,
    mutationFn: api.enterMetered,
    onSuccess: async () => client.invalidateQueries({ queryKey: ['collections'] }),
    onError: (error, { amounts }) => setErrors(recordingErrorsOf(error, { elsewhere: (place, message) => ({ fieldId: fieldOf(amounts[Number(place.split('/')[2])]?.machineTag, place), message }) })),
  });
  const submit = () => {
    const read = asked.map((box) => ({ box, reason: (reasons[box.machineTag] ?? '').trim(), ...meteredOf({ ...emptyBox, metered: typed[box.machineTag] ?? '' }, { currency, coinSet: null, locale }) }));
    const wrong = read.flatMap(({ box, reason, errors: found }) => [
      ...found.map((each) => ({ fieldId: fieldOf(box.machineTag), message: words.phone.of(box.machineTag, words.phone.errors[each.reason]) })),
      ...(isRecorded(box) ? reasonErrors({ fieldId: fieldOf(box.machineTag, '/reason'), reason }).map(({ fieldId, message }) => ({ fieldId, message: words.phone.of(box.machineTag, message) })) : []),
    ]);
    setErrors(wrong);
    if (wrong.length === 0) sending.mutate({ id: collection.id, amounts: read.flatMap(({ box, reason, value }) => (value === null ? [] : [{ machineTag: box.machineTag, amount: value, ...(isRecorded(box) ? { reason } : {}) }])) });
  };
  return (
    <>
      <p className="soft">{text.lead}</p>
      <Form errors={errors} busy={sending.isPending} action={text.action} onSubmit={submit}>
        {asked.map((box) => (
          <div key={box.machineTag} className="stack">
            <p>
              {words.phone.of(box.machineTag, whyUntold(box))}{' '}
              {isRecorded(box) ? <Link to={to(`machines/${box.machineId}`)}>{words.untold.enterReading(box.machineTag)}</Link> : null}
            </p>
            <Covered since={box.since} />
            <Field
              id={fieldOf(box.machineTag)} label={words.phone.of(box.machineTag, words.phone.visit.metered(currency))} inputMode="decimal" autoComplete="off" error={errorAt(errors, fieldOf(box.machineTag))}
              value={typed[box.machineTag] ?? ''} onValue={(value) => setTyped({ ...typed, [box.machineTag]: value })}
            />
            {isRecorded(box) ? (
              <Field
                id={fieldOf(box.machineTag, '/reason')} label={words.phone.of(box.machineTag, text.reason)} autoComplete="off" maxLength={1000} error={errorAt(errors, fieldOf(box.machineTag, '/reason'))}
                value={reasons[box.machineTag] ?? ''} onValue={(value) => setReasons({ ...reasons, [box.machineTag]: value })}
              />
            ) : null}
          </div>
        ))}
      </Form>
    </>
  );
}

/** From which readings the amount counts, and which boxes before are part of it. */
function Covered({ since }: { readonly since: AskedAmount['since'] }) {
  if (since === null) return null;
  const listed = (parts: readonly string[]): string => new Intl.ListFormat(locale).format(parts);
  const { readings, placedOn, boxes, laterMeters } = since;
  const sentences = [
    ...readings.map(({ meterLabel, boardOut, value, day }) => text.since({ meter: boardOut === null ? meterLabel : text.ofBoard({ meter: meterLabel, board: boardOut }), value, day: formatDay(day, locale) })),
    ...(placedOn === null ? [] : [text.cameOn(formatDay(placedOn, locale))]),
    ...(boxes.length === 0 ? [] : [text.covers(listed(boxes.map(({ localDate }) => formatDay(localDate, locale))))]),
    ...(laterMeters.length === 0 ? [] : [text.later(listed(laterMeters))]),
  ];
  return <p>{sentences.join(' ')}</p>;
}
