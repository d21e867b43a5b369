import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { useNavigate, useSearchParams } from 'react-router';
import { isCurrencyCode } from '#domain/money/currency';
import type { Office, Party, Site } from '../api/shapes';
import { asCode, isCode } from '../format/code';
import { NotFound } from '../frame/not-found';
import { NewParty } from '../parties/party-forms';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { nameIn } from '../parts/name-in';
import { Page } from '../parts/page';
import { SelectField } from '../parts/select-field';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { CodeField } from '../set-up/parts';
import { everyPartyQuery, operatorQuery, partiesKey, sitesKey } from '../set-up/queries';
import { siteQuery } from '../sites/queries';
import { forParty, OPERATOR, plainestTerms, SITE } from '../terms/draft';
import { fieldAt } from '../terms/field-at';
import { useTermsDraft } from '../terms/use-terms-draft';
import { words } from '../words/words';
import { Others } from './other-parties';
import { asBody, TermsForm } from './terms-form';
import styles from './agreements.module.css';

const text = words.agreements;

const longestCode = 30;

/** `agreements/new?site=`: what is agreed on with the owner of a site. */
export function NewAgreementPage() {
  const { api, may } = useOperator();
  const [parameters] = useSearchParams();
  const siteId = parameters.get('site') ?? '';
  const allowed = may('agreement.create');
  const site = useQuery({ ...siteQuery(api, siteId), enabled: allowed && siteId !== '' });
  const parties = useQuery({ ...everyPartyQuery(api), enabled: allowed });
  const office = useQuery({ ...operatorQuery(api), enabled: allowed });
  if (!allowed) return <Denied title={text.newTitle} />;
  if (siteId === '') return <NotFound />;
  const data = site.data === undefined || parties.data === undefined || office.data === undefined ? undefined : { site: site.data, parties: parties.data, office: office.data };
  const question = [site, parties, office].find(({ isError }) => isError) ?? site;
  return (
    <Page title={text.newTitle} lead={site.data === undefined ? undefined : text.newLead(site.data.name)}>
      <Answer question={{ ...question, data }} lines={12}>{(found) => <Writing {...found} />}</Answer>
    </Page>
  );
}

interface WritingProps {
  readonly site: Site;
  readonly parties: readonly Party[];
  readonly office: Office;
}

function Writing({ site, parties, office }: WritingProps) {
  const { api, to } = useOperator();
  const navigate = useNavigate();
  const id = useId();
  const [isAdding, setAdding] = useState(false);
  const [partyId, setParty] = useState('');
  const [otherIds, setOthers] = useState<readonly string[]>([]);
  const [startedOn, setStartedOn] = useState(site.openedOn);
  const [ownCode, setCode] = useState<string | null>(null);
  const code = ownCode ?? [site.code, startedOn.slice(0, 4)].filter((part) => part !== '').join('-');
  const currency = isCurrencyCode(site.currency) ? site.currency : 'USD';
  const nameOf = nameIn(parties);
  const named = [{ id: OPERATOR, name: office.name }, { id: SITE, name: partyId === '' ? words.terms.site : nameOf(partyId) }, ...otherIds.map((each) => ({ id: each, name: nameOf(each) }))];
  const draft = useTermsDraft({ base: plainestTerms(currency), parties: named, changed: ['split'] });
  const fields = { code: `${id}-code`, partyId: `${id}-party`, startedOn: `${id}-from`, otherPartyIds: `${id}-others`, siteId: `${id}-from` };
  const { errors, busy, submit } = useSending({
    send: api.createAgreement, fields, elsewhere: (place, message) => ({ fieldId: fieldAt(id, place), message }), changes: [sitesKey, partiesKey, ['month-end']],
    onDone: () => void navigate(to(`sites/${site.id}`)),
  });
  const terms = draft.terms === null ? null : asBody(forParty(draft.terms, partyId === '' ? SITE : partyId));
  const send = () =>
    submit({ code: asCode(code), siteId: site.id, partyId, otherPartyIds: [...otherIds], startedOn, terms: terms ?? asBody(plainestTerms(currency)) }, [
      unless(partyId !== '', fields.partyId, text.partyMissing),
      unless(startedOn !== '', fields.startedOn, words.setUp.dayMissing),
      unless(isCode({ typed: code, longest: longestCode }), fields.code, words.setUp.longCodeWrong),
      ...draft.unfinished.map((each) => unless(false, `${id}-${each.place}`, words.terms.unfinished[each.code])),
    ]);
  return (
    <>
      <TermsForm
        id={id} draft={draft} parties={named} currency={currency} errors={errors} busy={busy} action={text.record} onSubmit={send}
        asked={terms === null ? null : { terms, siteId: site.id, ...(startedOn === '' ? {} : { effectiveFrom: startedOn }) }}
      >
        <section className="section" aria-labelledby={`${id}-who`}>
          <h2 id={`${id}-who`}>{text.who}</h2>
          <div className={styles.who}>
            <SelectField
              id={fields.partyId} label={text.party} hint={text.partyHint} none={words.setUp.choose} error={errorAt(errors, fields.partyId)} value={partyId} onValue={setParty}
              options={parties.filter((party) => !otherIds.includes(party.id)).map((party) => ({ value: party.id, text: `${party.name} (${party.code})` }))}
            >
              <div>
                <button type="button" className="button-plain small" onClick={() => setAdding(true)}>
                  {text.addParty}
                </button>
              </div>
            </SelectField>
            <Field id={fields.startedOn} type="date" label={text.startedOn} hint={text.startedOnHint} error={errorAt(errors, fields.startedOn)} value={startedOn} onValue={setStartedOn} />
            <CodeField id={fields.code} hint={text.codeHint} error={errorAt(errors, fields.code)} value={code} onValue={setCode} />
          </div>
          <Others id={fields.otherPartyIds} parties={parties.filter((party) => party.id !== partyId)} chosen={otherIds} onChosen={setOthers} />
        </section>
      </TermsForm>
      {isAdding ? (
        <NewParty
          locale={office.locale} onClose={() => setAdding(false)}
          onAdded={(party) => {
            setAdding(false);
            setParty(party.id);
          }}
        />
      ) : null}
    </>
  );
}
