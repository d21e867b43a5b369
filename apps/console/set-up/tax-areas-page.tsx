import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link, useNavigate } from 'react-router';
import type { ReadyTaxArea, TaxArea } from '../api/shapes';
import { asCode, isCode } from '../format/code';
import { locale } from '../format/locale';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Field } from '../parts/field';
import { FormDialog } from '../parts/form-dialog';
import { Page } from '../parts/page';
import { SelectField } from '../parts/select-field';
import { useEditForm, useTypedForm } from '../parts/use-typed-form';
import { useOperator } from '../session/operator';
import { taxAreasQuery } from '../tax/queries';
import { words } from '../words/words';
import { CodeField, OpenButton, SetUpViews } from './parts';
import { operatorQuery, readyTaxAreasQuery, taxKey } from './queries';
import { limitInWords, ruleInWords } from './tax-in-words';

const text = words.setUp.taxAreas;

const longestCode = 30;

/** `set-up/tax-areas`: where the same taxes and limits of law hold. */
export function TaxAreasPage() {
  const { api, may } = useOperator();
  const [adding, setAdding] = useState<'copy' | 'empty' | null>(null);
  const allowed = may('tax-area.read');
  const question = useQuery({ ...taxAreasQuery(api), enabled: allowed });
  if (!allowed) return <Denied title={text.title} />;
  const add = may('tax-area.create') ? (
    <div className="row">
      <OpenButton main onClick={() => setAdding('copy')}>{text.copy}</OpenButton>
      <button type="button" className="button" onClick={() => setAdding('empty')}>
        {text.add}
      </button>
    </div>
  ) : null;
  return (
    <Page title={text.title} lead={text.lead} actions={<SetUpViews />}>
      <Answer question={question} lines={6}>
        {({ items }) =>
          items.length === 0 ? (
            <Blank title={text.none}>
              <p>{text.noneWhat}</p>
              {add}
            </Blank>
          ) : (
            <>
              {add}
              <Areas areas={items} />
            </>
          )
        }
      </Answer>
      {adding === 'copy' ? <CopyArea onClose={() => setAdding(null)} /> : null}
      {adding === 'empty' ? <NewArea onClose={() => setAdding(null)} /> : null}
    </Page>
  );
}

function Areas({ areas }: { readonly areas: readonly TaxArea[] }) {
  const { to } = useOperator();
  return (
    <table>
      <caption className="visually-hidden">{text.title}</caption>
      <thead>
        <tr>
          <th scope="col">{text.area}</th>
          <th scope="col">{text.country}</th>
        </tr>
      </thead>
      <tbody>
        {areas.map((area) => (
          <tr key={area.id}>
            <th scope="row">
              <Link to={to(`set-up/tax-areas/${area.id}`)}>{area.name}</Link> <span className="code small">{area.code}</span>
            </th>
            <td>{countryName(area.country)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

export const countryName = (code: string): string => new Intl.DisplayNames(locale, { type: 'region' }).of(code) ?? code;

/** One whose rules are published, with all that it says and leaves open, before it is copied. */
function CopyArea({ onClose }: { readonly onClose: () => void }) {
  const { api, to } = useOperator();
  const navigate = useNavigate();
  const ready = useQuery(readyTaxAreasQuery(api));
  const office = useQuery(operatorQuery(api));
  const { typed, field, errors, busy, submit } = useTypedForm({
    initial: { readyAreaId: '' },
    missing: (now) => ({ readyAreaId: now.readyAreaId === '' && text.readyMissing }),
    body: (now) => ({ readyAreaId: now.readyAreaId }),
    send: api.copyTaxArea,
    changes: [taxKey],
    onDone: (made) => void navigate(to(`set-up/tax-areas/${made.id}`)),
    named: { code: 'readyAreaId' },
  });
  // Those of the operator's own country first.
  const home = office.data?.country;
  const areas = (ready.data ?? []).toSorted((one, other) => Number(other.country === home) - Number(one.country === home));
  const chosen = areas.find(({ id }) => id === typed.readyAreaId);
  return (
    <FormDialog title={text.copyTitle} lead={text.copyLead} errors={errors} busy={busy} action={text.copyAction} onSubmit={submit} onClose={onClose}>
      <SelectField {...field('readyAreaId')} label={text.ready} none={words.setUp.choose} isLoading={ready.isLoading} options={areas.map(({ id, name, country }) => ({ value: id, text: `${countryName(country)}: ${name}` }))} />
      {chosen === undefined ? null : <WhatItSays area={chosen} />}
    </FormDialog>
  );
}

function WhatItSays({ area }: { readonly area: ReadyTaxArea }) {
  return (
    <div className="notice" role="status">
      <ul>
        {area.rules.map(({ code, validFrom, source, document }) => (
          <li key={`${code} ${validFrom}`}>
            <strong>{document.title}</strong> {ruleInWords(document)}
            <div className="soft small">{text.source(source)}</div>
          </li>
        ))}
        {area.limits.map(({ source, document }) => (
          <li key={source}>
            {limitInWords(document)}
            <div className="soft small">{text.source(source)}</div>
          </li>
        ))}
        {area.notes.map(inWords).map((note) => (
          <li key={note}>{note}</li>
        ))}
      </ul>
      <p>{inWords(area.caution)}</p>
    </div>
  );
}

const wrongArea = (now: { readonly name: string; readonly code: string; readonly country: string }) => ({
  name: now.name.trim() === '' && words.setUp.nameMissing,
  code: !isCode({ typed: now.code, longest: longestCode }) && words.setUp.longCodeWrong,
  country: !/^[A-Za-z]{2}$/.test(now.country.trim()) && text.countryWrong,
});

function NewArea({ onClose }: { readonly onClose: () => void }) {
  const { api, to } = useOperator();
  const navigate = useNavigate();
  const { field, errors, busy, submit } = useTypedForm({
    initial: { name: '', code: '', country: '' },
    missing: wrongArea,
    body: (now) => ({ name: now.name.trim(), code: asCode(now.code), country: now.country.trim().toUpperCase() }),
    send: api.createTaxArea,
    changes: [taxKey],
    onDone: (made) => void navigate(to(`set-up/tax-areas/${made.id}`)),
  });
  return (
    <FormDialog title={text.addTitle} errors={errors} busy={busy} action={text.add} onSubmit={submit} onClose={onClose}>
      <Field {...field('name')} label={words.setUp.name} maxLength={200} autoComplete="off" />
      <CodeField {...field('code')} hint={words.setUp.longCodeHint} />
      <Field {...field('country')} label={text.country} hint={text.countryHint} maxLength={2} autoComplete="off" />
    </FormDialog>
  );
}

/** What an area is called, and in which country it lies. */
export function ChangeArea({ area, onClose }: { readonly area: TaxArea; readonly onClose: () => void }) {
  const { api } = useOperator();
  const { field, errors, conflict, busy, submit } = useEditForm({
    edited: {
      thing: area,
      read: api.taxArea,
      enteredOf: (of) => ({ name: of.name, code: of.code, country: of.country }),
      fields: { name: { label: words.setUp.name }, code: { label: words.setUp.code }, country: { label: text.country } },
    },
    missing: wrongArea,
    body: (now, { id, revision }) => ({ id, revision, body: { name: now.name.trim(), code: asCode(now.code), country: now.country.trim().toUpperCase() } }),
    send: api.changeTaxArea,
    changes: [taxKey],
    onDone: onClose,
  });
  return (
    <FormDialog title={words.setUp.changeTitle(area.name)} lead={text.kept} errors={errors} conflict={conflict} busy={busy} action={words.setUp.save} onSubmit={submit} onClose={onClose}>
      <Field {...field('name')} label={words.setUp.name} maxLength={200} autoComplete="off" />
      <CodeField {...field('code')} hint={words.setUp.longCodeHint} />
      <Field {...field('country')} label={text.country} hint={text.countryHint} maxLength={2} autoComplete="off" />
    </FormDialog>
  );
}

/** A note of a ready area in the language of the page; as the api says it where there are no words. */
const inWords = (note: string): string => words.readyAreaNotes[note] ?? note;
