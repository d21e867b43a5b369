import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { Round } from '../api/shapes';
import { dayOf } from '../format/day';
import { everySiteQuery, peopleQuery } from '../keys/queries';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { nameIn } from '../parts/name-in';
import { SelectField } from '../parts/select-field';
import { useChangedMeanwhile } from '../parts/use-changed-meanwhile';
import { unless, useSending } from '../parts/use-sending';
import { dayInWords } from '../parts/use-typed-form';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import type { Beginning } from './again';
import { roundsKey } from './queries';
import { Stops } from './stops';

const text = words.rounds.plan;

interface Entered {
  readonly name: string;
  readonly plannedOn: string;
  readonly collectorId: string;
  readonly siteIds: readonly string[];
}

interface RoundFormProps {
  /** Null plans a new one. */
  readonly round: Round | null;
  /** What a new one begins with. */
  readonly beginning: Beginning;
  readonly onSaved: () => void;
  readonly onClose: () => void;
}

/** Plans a round or changes one: who goes on which day where, in which order. */
export function RoundForm({ round, beginning, onSaved, onClose }: RoundFormProps) {
  const { api } = useOperator();
  const id = useId();
  const [name, setName] = useState(round?.name ?? beginning.name);
  const [plannedOn, setPlannedOn] = useState(round?.plannedOn ?? dayOf(new Date()));
  const [chosenId, setCollectorId] = useState(round?.collectorId ?? beginning.collectorId);
  const [siteIds, setSiteIds] = useState<readonly string[]>(round?.stops.map(({ siteId }) => siteId) ?? beginning.siteIds);
  const everybody = useQuery(peopleQuery(api));
  const people = (everybody.data ?? []).filter(({ employedBy, leftOn }) => employedBy === 'operator' && leftOn === null);
  // Whoever has left goes on no round: the field is empty then, and says so.
  const collectorId = everybody.data === undefined || people.some((person) => person.id === chosenId) ? chosenId : '';
  const sites = useQuery(everySiteQuery(api));
  const fields = { name: `${id}-name`, plannedOn: `${id}-day`, collectorId: `${id}-collector`, siteIds: `${id}-add` };
  const nameOf = nameIn(sites.data);
  const edited = {
    thing: round,
    read: api.round,
    enteredOf: (of: Round): Entered => ({ name: of.name, plannedOn: of.plannedOn, collectorId: of.collectorId, siteIds: of.stops.map(({ siteId }) => siteId) }),
    fields: {
      name: { label: text.name }, plannedOn: { label: text.day, says: dayInWords },
      collectorId: { label: text.collector, says: nameIn(everybody.data) },
      siteIds: { label: text.stops, says: (ids: readonly string[]) => ids.map(nameOf).join(', ') },
    },
  };
  const onEntered = (entered: Entered) => {
    setName(entered.name);
    setPlannedOn(entered.plannedOn);
    setCollectorId(entered.collectorId);
    setSiteIds(entered.siteIds);
  };
  const { seen, onRefused, conflict } = useChangedMeanwhile(edited, { entered: { name, plannedOn, collectorId, siteIds }, onEntered });
  const { errors, busy, submit } = useSending({
    send: (plan: Entered, key): Promise<unknown> => (seen === null ? api.planRound(plan, key) : api.changeRound({ ...plan, id: seen.id, revision: seen.revision })),
    fields,
    changes: [roundsKey],
    onDone: onSaved,
    onRefused,
  });
  const save = () =>
    submit({ name: name.trim(), plannedOn, collectorId, siteIds }, [
      unless(name.trim() !== '', fields.name, text.nameMissing),
      unless(plannedOn !== '', fields.plannedOn, text.dayMissing),
      unless(collectorId !== '', fields.collectorId, text.collectorMissing),
      unless(siteIds.length > 0, fields.siteIds, text.stopsMissing),
    ]);
  return (
    <FormDialog title={round === null ? text.title : text.changeTitle(round.name)} errors={errors} conflict={conflict} busy={busy} action={text.save} onSubmit={save} onClose={onClose}>
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
