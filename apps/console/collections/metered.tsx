import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { Collection } from '../api/shapes';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { errorAt, Form } from '../parts/form';
import { formErrorsOf } from '../parts/form-errors';
import { useMutation } from '../parts/use-mutation';
import { emptyBox, meteredOf } from '../phone/box-draft';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { collectionQuery } from './queries';

const text = words.entered.metered;

/** What the meters of boxes imply where the terms go by them and nobody records them: said by the office, apart from the counts. */
export function Metered({ collectionId }: { readonly collectionId: string }) {
  const { api, may } = useOperator();
  const { data: collection } = useQuery({ ...collectionQuery(api, collectionId), enabled: may('collection.read') });
  const nameOf = useActorName();
  if (collection === undefined) return null;
  const said = collection.meteredAmounts ?? [];
  const asked = collection.state !== 'open' && may('collection.meter', collection.state) ? collection.meteredMissing : [];
  if (said.length + asked.length === 0) return null;
  return (
    <section className="section" aria-labelledby="metered">
      <h2 id="metered">{text.title}</h2>
      {said.length === 0 ? null : (
        <ul>
          {said.map(({ machineId, machineTag, amount, recordedBy }) => (
            <li key={machineId}>{text.said({ machine: machineTag, amount: formatMoney(amount, locale), by: nameOf(recordedBy) })}</li>
          ))}
        </ul>
      )}
      {asked.length === 0 ? null : <AskedAmounts collection={collection} asked={asked} />}
    </section>
  );
}

function AskedAmounts({ collection, asked }: { readonly collection: Collection; readonly asked: readonly string[] }) {
  const { api } = useOperator();
  const client = useQueryClient();
  const id = useId();
  const [typed, setTyped] = useState<Readonly<Record<string, string>>>({});
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const { currency } = collection.counted;
  const sending = useMutation({
    mutationFn: api.enterMetered,
    onSuccess: async () => client.invalidateQueries({ queryKey: ['collections'] }),
    onError: (error, { amounts }) => setErrors(formErrorsOf(error, { elsewhere: (place, message) => ({ fieldId: `${id}-${amounts[Number(place.split('/')[2])]?.machineTag ?? ''}`, message }) })),
  });
  const submit = () => {
    const read = asked.map((machineTag) => ({ machineTag, ...meteredOf({ ...emptyBox, metered: typed[machineTag] ?? '' }, { currency, coinSet: null, locale }) }));
    const wrong = read.flatMap(({ machineTag, errors: found }) => found.map(({ reason }) => ({ fieldId: `${id}-${machineTag}`, message: words.phone.of(machineTag, words.phone.errors[reason]) })));
    setErrors(wrong);
    if (wrong.length === 0) sending.mutate({ id: collection.id, amounts: read.flatMap(({ machineTag, value }) => (value === null ? [] : [{ machineTag, amount: value }])) });
  };
  return (
    <>
      <p className="soft">{text.lead}</p>
      <Form errors={errors} busy={sending.isPending} action={text.action} onSubmit={submit}>
        {asked.map((machineTag) => (
          <Field
            key={machineTag} id={`${id}-${machineTag}`} label={words.phone.of(machineTag, words.phone.visit.metered(currency))} inputMode="decimal" autoComplete="off" error={errorAt(errors, `${id}-${machineTag}`)}
            value={typed[machineTag] ?? ''} onValue={(value) => setTyped({ ...typed, [machineTag]: value })}
          />
        ))}
      </Form>
    </>
  );
}
