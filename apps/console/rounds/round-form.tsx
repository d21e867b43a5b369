import { useMutation, useQuery, useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { Round } from '../api/shapes';
import { dayOf } from '../format/day';
import { everySiteQuery, peopleQuery } from '../keys/queries';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { formErrorsOf } from '../parts/form-errors';
import { SelectField } from '../parts/select-field';
import { unless } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { roundsKey } from './queries';
import { Stops } from './stops';

const text = words.rounds.plan;

interface RoundFormProps {
  /** Null plans a new one. */
  readonly round: Round | null;
  /** Sites that a new one begins with. */
  readonly chosen: readonly string[];
  readonly onSaved: () => void;
  readonly onClose: () => void;
}

/** Plans a round or changes one: who goes on which day where, in which order. */
export function RoundForm({ round, chosen, onSaved, onClose }: RoundFormProps) {
  const { api } = useOperator();
  const client = useQueryClient();
  const id = useId();
  const [name, setName] = useState(round?.name ?? '');
  const [plannedOn, setPlannedOn] = useState(round?.plannedOn ?? dayOf(new Date()));
  const [collectorId, setCollectorId] = useState(round?.collectorId ?? '');
  const [siteIds, setSiteIds] = useState<readonly string[]>(round?.stops.map(({ siteId }) => siteId) ?? chosen);
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const everybody = useQuery(peopleQuery(api));
  const people = (everybody.data ?? []).filter(({ employedBy, leftOn }) => employedBy === 'operator' && leftOn === null);
  const sites = useQuery(everySiteQuery(api));
  const fields = { name: `${id}-name`, plannedOn: `${id}-day`, collectorId: `${id}-collector`, siteIds: `${id}-add` };
  const saving = useMutation({
    mutationFn: async () => {
      const plan = { name: name.trim(), plannedOn, collectorId, siteIds };
      return round === null ? api.planRound(plan) : api.changeRound({ ...plan, id: round.id, revision: round.revision });
    },
    onSuccess: async () => {
      await client.invalidateQueries({ queryKey: roundsKey });
      onSaved();
    },
    onError: (error) => setErrors(formErrorsOf(error, { fields, expected: { 'changed-meanwhile': { fieldId: null, message: text.changed } } })),
  });
  const submit = () => {
    const missing = [
      unless(name.trim() !== '', fields.name, text.nameMissing),
      unless(plannedOn !== '', fields.plannedOn, text.dayMissing),
      unless(collectorId !== '', fields.collectorId, text.collectorMissing),
      unless(siteIds.length > 0, fields.siteIds, text.stopsMissing),
    ].filter((each) => each !== null);
    setErrors(missing);
    if (missing.length === 0) saving.mutate();
  };
  return (
    <FormDialog title={round === null ? text.title : text.changeTitle(round.name)} errors={errors} busy={saving.isPending} action={text.save} onSubmit={submit} onClose={onClose}>
      <Field id={fields.name} label={text.name} autoComplete="off" error={errorAt(errors, fields.name)} value={name} onValue={setName} />
      <Field id={fields.plannedOn} type="date" label={text.day} error={errorAt(errors, fields.plannedOn)} value={plannedOn} onValue={setPlannedOn} />
      <SelectField
        id={fields.collectorId} label={text.collector} none={text.nobody} isLoading={everybody.isLoading} error={errorAt(errors, fields.collectorId)} value={collectorId} onValue={setCollectorId}
        options={people.map((person) => ({ value: person.id, text: `${person.name} (${person.code})` }))}
      />
      <Stops addId={fields.siteIds} error={errorAt(errors, fields.siteIds)} siteIds={siteIds} sites={sites.data ?? []} isLoading={sites.isLoading} onSiteIds={setSiteIds} />
    </FormDialog>
  );
}
