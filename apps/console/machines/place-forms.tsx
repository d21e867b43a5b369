import { useQuery } from '@tanstack/react-query';
import type { Machine, Placement } from '../api/shapes';
import { everySiteQuery } from '../keys/queries';
import { today } from '../keys/set-up/day-field';
import { Field } from '../parts/field';
import { FormDialog } from '../parts/form-dialog';
import { SelectField } from '../parts/select-field';
import { dayInWords, orNull, useEditForm, useTypedForm } from '../parts/use-typed-form';
import { useOperator } from '../session/operator';
import { useSiteNames } from '../sites/site-names';
import { words } from '../words/words';
import { useMetersShown } from './meters-shown';
import { machinesKey, meterTasksKey } from './queries';

const text = words.machines.places;
const changes = [machinesKey, meterTasksKey, ['sites'], ['keys'], ['earnings'], ['variances']];

interface OfMachine {
  readonly machine: Machine;
  readonly onClose: () => void;
}

/** To a site, out of the shop or from another one: the old place ends on the day on which the new one begins. */
export function PlaceMachine({ machine, onClose }: OfMachine) {
  const { api } = useOperator();
  const sites = useQuery(everySiteQuery(api));
  const { placement } = machine;
  const meters = useMetersShown(machine.id);
  const arrival = useMetersShown(machine.id);
  const { field, errors, busy, submit } = useTypedForm({
    initial: { siteId: '', day: today() },
    missing: (now) => ({ siteId: now.siteId === '' && words.machines.siteMissing, day: now.day === '' && words.setUp.dayMissing }),
    also: () => [...meters.wrong(), ...(placement === null ? [] : arrival.wrong())],
    elsewhere: (place, message) => ({ fieldId: (place.startsWith('#/metersAtPlacement') ? arrival : meters).placeOf(place), message }),
    body: (now) => ({ ...now, read: meters.enteredOn(now.day), came: arrival.enteredOn(now.day) }),
    send: async ({ siteId, day, read, came }, key) =>
      placement === null
        ? void (await api.placeMachine({ machineId: machine.id, siteId, placedOn: day, ...(read === null ? {} : { meters: read }) }, key))
        : void (await api.moveMachine({ id: placement.id, siteId, movedOn: day, ...(read === null ? {} : { metersAtRemoval: read }), ...(came === null ? {} : { metersAtPlacement: came }) }, key)),
    changes,
    onDone: onClose,
    named: { placedOn: 'day', movedOn: 'day', machineId: 'siteId' },
  });
  const open = (sites.data ?? []).filter(({ id, closedOn }) => closedOn === null && id !== placement?.siteId);
  return (
    <FormDialog
      title={placement === null ? text.placeTitle(machine.tag) : text.moveTitle(machine.tag)} lead={placement === null ? undefined : text.moveLead} errors={errors} busy={busy}
      action={placement === null ? text.place : text.move} onSubmit={submit} onClose={onClose}
    >
      <SelectField {...field('siteId')} label={text.site} none={words.setUp.choose} isLoading={sites.isLoading} options={open.map(({ id, name, code }) => ({ value: id, text: `${name} (${code})` }))} />
      <Field {...field('day')} type="date" label={placement === null ? words.machines.placedOn : text.movedOn} />
      {meters.fields({ title: placement === null ? text.metersPlaced : text.metersTaken, hint: placement === null ? text.metersHint : `${text.metersHint} ${text.metersMoved}`, errors, asksTime: true })}
      {placement === null ? null : arrival.fields({ title: text.metersCame, hint: text.metersCameHint, errors, asksTime: true })}
    </FormDialog>
  );
}

/** Days that were entered wrongly. */
export function CorrectPlacement({ placement, onClose }: { readonly placement: Placement; readonly onClose: () => void }) {
  const { api } = useOperator();
  const siteNamed = useSiteNames();
  const { field, errors, conflict, busy, submit } = useEditForm({
    edited: {
      thing: placement,
      read: api.placement,
      enteredOf: (of) => ({ placedOn: of.placedOn, removedOn: of.removedOn ?? '' }),
      fields: { placedOn: { label: words.machines.placedOn, says: dayInWords }, removedOn: { label: text.removedOn, says: dayInWords } },
    },
    missing: (now) => ({ placedOn: now.placedOn === '' && words.setUp.dayMissing }),
    body: (now, { id, revision }) => ({ id, revision, body: { placedOn: now.placedOn, removedOn: orNull(now.removedOn) } }),
    send: api.correctPlacement,
    changes,
    onDone: onClose,
  });
  return (
    <FormDialog title={text.correctTitle(siteNamed(placement.siteCode))} lead={text.correctLead} errors={errors} conflict={conflict} busy={busy} action={words.setUp.save} onSubmit={submit} onClose={onClose}>
      <Field {...field('placedOn')} type="date" label={words.machines.placedOn} />
      <Field {...field('removedOn')} type="date" label={text.removedOn} hint={text.removedOnHint} />
    </FormDialog>
  );
}

export function TakeToShop({ machine, placementId, onClose }: OfMachine & { readonly placementId: string }) {
  const { api } = useOperator();
  const meters = useMetersShown(machine.id);
  const { field, errors, busy, submit } = useTypedForm({
    initial: { removedOn: today() },
    missing: (now) => ({ removedOn: now.removedOn === '' && words.setUp.dayMissing }),
    also: meters.wrong,
    elsewhere: (place, message) => ({ fieldId: meters.placeOf(place), message }),
    body: (now) => {
      const read = meters.enteredOn(now.removedOn);
      return { id: placementId, removedOn: now.removedOn, ...(read === null ? {} : { meters: read }) };
    },
    send: api.takeAwayMachine,
    changes,
    onDone: onClose,
  });
  return (
    <FormDialog title={text.takeTitle(machine.tag)} lead={text.moveLead} errors={errors} busy={busy} action={text.take} onSubmit={submit} onClose={onClose}>
      <Field {...field('removedOn')} type="date" label={text.takenOn} />
      {meters.fields({ title: text.metersTaken, hint: text.metersHint, errors, asksTime: true })}
    </FormDialog>
  );
}
