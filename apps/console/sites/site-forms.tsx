import { useQuery } from '@tanstack/react-query';
import { Link, useNavigate } from 'react-router';
import { currencyCodes } from '#domain/money/currency';
import type { Office, Site, TaxArea } from '../api/shapes';
import { asCode, isCode } from '../format/code';
import { nextNumber } from '../keys/set-up/numbers';
import { Answer } from '../parts/answer';
import { Dialog } from '../parts/dialog';
import { Field } from '../parts/field';
import { FormDialog } from '../parts/form-dialog';
import { nameIn } from '../parts/name-in';
import { SelectField } from '../parts/select-field';
import { dayInWords, linesOf, orNull, useEditForm, useTypedForm } from '../parts/use-typed-form';
import { useOperator } from '../session/operator';
import { AddressField, CodeField, isTimeZone, TimeZoneField } from '../set-up/parts';
import { operatorQuery, sitesKey } from '../set-up/queries';
import { taxAreasQuery } from '../tax/queries';
import { words } from '../words/words';

const text = words.setUp.sites;

interface NewSiteProps {
  /** Codes that there are, to propose the next one. */
  readonly codes: readonly string[];
  readonly onClose: () => void;
}

/** A place where machines stand; goes on to it, where the agreement comes next. */
export function NewSite({ codes, onClose }: NewSiteProps) {
  const { api } = useOperator();
  const office = useQuery(operatorQuery(api));
  const areas = useQuery(taxAreasQuery(api));
  const ready = office.data === undefined || areas.data === undefined ? undefined : { office: office.data, areas: areas.data.items };
  if (ready !== undefined && ready.areas.length > 0) return <NewSiteForm {...ready} codes={codes} onClose={onClose} />;
  return (
    <Dialog title={text.addTitle} onClose={onClose}>
      <Answer question={office.isError ? { ...office, data: ready } : { ...areas, data: ready }} lines={6}>
        {() => <FirstATaxArea />}
      </Answer>
      <div>
        <button type="button" className="button" onClick={onClose}>
          {words.cancel}
        </button>
      </div>
    </Dialog>
  );
}

function FirstATaxArea() {
  const { to } = useOperator();
  return (
    <>
      <p>{text.noTaxArea}</p>
      <p>
        <Link to={to('set-up/tax-areas')}>{text.toTaxAreas}</Link>
      </p>
    </>
  );
}

function NewSiteForm({ office, areas, codes, onClose }: NewSiteProps & { readonly office: Office; readonly areas: readonly TaxArea[] }) {
  const { api, to } = useOperator();
  const navigate = useNavigate();
  const { field, errors, busy, submit } = useTypedForm({
    initial: {
      name: '', code: nextNumber(codes), address: '', timeZone: office.timeZone, taxAreaId: areas.length === 1 ? (areas[0]?.id ?? '') : '', currency: office.currency, openedOn: '',
    },
    missing: (now) => ({
      name: now.name.trim() === '' && words.setUp.nameMissing,
      code: !isCode({ typed: now.code }) && words.setUp.codeWrong,
      timeZone: !isTimeZone(now.timeZone) && words.setUp.timeZoneWrong,
      taxAreaId: now.taxAreaId === '' && text.taxAreaMissing,
      openedOn: now.openedOn === '' && words.setUp.dayMissing,
    }),
    body: ({ name, code, address, ...rest }) => ({ ...rest, name: name.trim(), code: asCode(code), address: linesOf(address) }),
    send: api.createSite,
    changes: [sitesKey],
    onDone: (made) => void navigate(to(`sites/${made.id}`)),
  });
  return (
    <FormDialog title={text.addTitle} errors={errors} busy={busy} action={text.add} onSubmit={submit} onClose={onClose}>
      <Field {...field('name')} label={words.setUp.name} maxLength={200} autoComplete="off" />
      <CodeField {...field('code')} />
      <AddressField {...field('address')} />
      <TaxAreaField {...field('taxAreaId')} areas={areas} />
      <Field {...field('openedOn')} type="date" label={text.openedOn} hint={text.openedOnHint} />
      <TimeZoneField {...field('timeZone')} />
      <SelectField {...field('currency')} label={text.currency} hint={text.currencyHint} options={currencyCodes.map((code) => ({ value: code, text: code }))} />
    </FormDialog>
  );
}

interface TaxAreaFieldProps {
  readonly id: string;
  readonly value: string;
  readonly error: string | undefined;
  readonly areas: readonly TaxArea[];
  readonly isLoading?: boolean;
  readonly onValue: (value: string) => void;
}

function TaxAreaField({ areas, ...bound }: TaxAreaFieldProps) {
  return <SelectField {...bound} label={text.taxArea} hint={text.taxAreaHint} none={words.setUp.choose} options={areas.map(({ id, name, code }) => ({ value: id, text: `${name} (${code})` }))} />;
}

/** All but its currency, which stays. */
export function ChangeSite({ site, onClose }: { readonly site: Site; readonly onClose: () => void }) {
  const { api } = useOperator();
  const areas = useQuery(taxAreasQuery(api));
  const { field, errors, conflict, busy, submit } = useEditForm({
    edited: {
      thing: site,
      read: api.site,
      enteredOf: (of) => ({ name: of.name, code: of.code, address: of.address.join('\n'), timeZone: of.timeZone, taxAreaId: of.taxAreaId, openedOn: of.openedOn, closedOn: of.closedOn ?? '' }),
      fields: {
        name: { label: words.setUp.name }, code: { label: words.setUp.code }, address: { label: words.setUp.address }, timeZone: { label: words.setUp.timeZone },
        taxAreaId: { label: text.taxArea, says: nameIn(areas.data?.items) },
        openedOn: { label: text.openedOn, says: dayInWords }, closedOn: { label: text.closedOn, says: dayInWords },
      },
    },
    missing: (now) => ({
      name: now.name.trim() === '' && words.setUp.nameMissing,
      code: !isCode({ typed: now.code }) && words.setUp.codeWrong,
      timeZone: !isTimeZone(now.timeZone) && words.setUp.timeZoneWrong,
      openedOn: now.openedOn === '' && words.setUp.dayMissing,
    }),
    body: ({ name, code, address, closedOn, ...rest }, { id, revision }) => ({ id, revision, body: { ...rest, name: name.trim(), code: asCode(code), address: linesOf(address), closedOn: orNull(closedOn) } }),
    send: api.changeSite,
    changes: [sitesKey],
    onDone: onClose,
  });
  return (
    <FormDialog title={words.setUp.changeTitle(site.name)} errors={errors} conflict={conflict} busy={busy} action={words.setUp.save} onSubmit={submit} onClose={onClose}>
      <Field {...field('name')} label={words.setUp.name} maxLength={200} autoComplete="off" />
      <CodeField {...field('code')} />
      <AddressField {...field('address')} />
      <TaxAreaField {...field('taxAreaId')} areas={areas.data?.items ?? []} isLoading={areas.isLoading} />
      <Field {...field('openedOn')} type="date" label={text.openedOn} />
      <Field {...field('closedOn')} type="date" label={text.closedOn} hint={text.closedOnHint} />
      <TimeZoneField {...field('timeZone')} />
    </FormDialog>
  );
}
