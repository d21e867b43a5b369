import { useEffect, useId, useState } from 'react';
import { isCurrencyCode } from '#domain/money/currency';
import type { Site } from '../api/shapes';
import { dayOf } from '../format/day';
import { locale } from '../format/locale';
import { Answer } from '../parts/answer';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { errorAt, Form } from '../parts/form';
import { formErrorsOf } from '../parts/form-errors';
import { nameIn } from '../parts/name-in';
import { SelectField } from '../parts/select-field';
import { draftOf, members, plainestTerms, splitForParties, staying, withChanges, type Member, type TermsDraft } from '../terms/draft';
import { fieldAt } from '../terms/field-at';
import { termsInWords } from '../terms/in-words';
import { readDraft } from '../terms/read-draft';
import { TermsEditor } from '../terms/terms-editor';
import { words } from '../words/words';
import { lastTwelveMonths, type Asked, type Choice } from './asked';
import { commonCurrency, useBase, type Base } from './base-terms';
import { Preview } from './preview';
import styles from './what-if.module.css';

interface WhatIfFormProps {
  readonly sites: readonly Site[];
  readonly choice: Choice;
  /** Why the last comparison was refused, or null. */
  readonly refusal: unknown;
  readonly busy: boolean;
  readonly onAsk: (asked: Asked) => void;
}

/** Which periods of which sites, and what would be different in their terms. */
export function WhatIfForm({ sites, choice, refusal, busy, onAsk }: WhatIfFormProps) {
  const id = useId();
  const text = words.whatIf;
  const twelve = lastTwelveMonths(dayOf(new Date()));
  const [siteId, setSiteId] = useState(choice.siteId);
  const [ofChoice, setOfChoice] = useState(choice.startsOn !== twelve.startsOn || choice.endsBefore !== twelve.endsBefore);
  const [days, setDays] = useState({ startsOn: choice.startsOn, endsBefore: choice.endsBefore });
  const site = sites.find((each) => each.id === siteId) ?? null;
  const common = commonCurrency(sites);
  const currency = site !== null && isCurrencyCode(site.currency) ? site.currency : common;
  const [typed, setTyped] = useState<Partial<TermsDraft>>(() => typedIn(choice, currency));
  const [changed, setChanged] = useState<readonly Member[]>(() => members.filter((member) => choice.changes?.[member] !== undefined));
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const period = ofChoice ? days : twelve;
  const base = useBase({ site, endsBefore: period.endsBefore === '' ? twelve.endsBefore : period.endsBefore, currency });
  useEffect(() => {
    if (refusal !== null) setErrors(formErrorsOf(refusal, { fields: { startsOn: `${id}-from`, endsBefore: `${id}-before`, siteIds: `${id}-site` }, elsewhere: (place, message) => ({ fieldId: fieldAt(id, place), message }) }));
  }, [refusal, id]);
  const noTerms = { fieldId: `${id}-site`, message: text.noTerms };
  const submit = () => {
    if (base.data === undefined) return;
    if (base.data === null) return setErrors([noTerms]);
    const { read } = draftFrom(base.data, typed, changed);
    const wrong = [
      ...(period.startsOn === '' ? [{ fieldId: `${id}-from`, message: text.days.from }] : []),
      ...(period.endsBefore <= period.startsOn ? [{ fieldId: `${id}-before`, message: text.days.before }] : []),
      ...(changed.length === 0 ? [{ fieldId: `${id}-change`, message: text.changeMissing }] : []),
      ...read.unfinished.map(({ place, code }) => ({ fieldId: `${id}-${place}`, message: words.terms.unfinished[code] })),
    ];
    setErrors(wrong);
    if (read.changes !== null && wrong.length === 0) onAsk({ siteId: site?.id ?? null, ...period, changes: read.changes });
  };
  return (
    <section className="section" aria-label={text.form}>
      <div className={styles.wide}>
        <Form errors={errors} busy={busy} action={text.compare} onSubmit={submit}>
          {/* Beside the answer: another site is another question, and its field must keep the focus of who chose it. */}
          <div className={styles.where}>
            <SiteField id={id} sites={sites} siteId={siteId} onSite={setSiteId} errors={base.data === null ? [noTerms] : errors} />
            <SelectField
              id={`${id}-period`} label={text.period} value={ofChoice ? 'days' : 'twelve'}
              options={[{ value: 'twelve', text: text.lastTwelve }, { value: 'days', text: text.ofChoice }]} onValue={(value) => setOfChoice(value === 'days')}
            />
            {ofChoice ? (
              <>
                <Field id={`${id}-from`} type="date" label={text.from} error={errorAt(errors, `${id}-from`)} value={days.startsOn} onValue={(startsOn) => setDays({ ...days, startsOn })} />
                <Field id={`${id}-before`} type="date" label={text.before} error={errorAt(errors, `${id}-before`)} value={days.endsBefore} onValue={(endsBefore) => setDays({ ...days, endsBefore })} />
              </>
            ) : null}
          </div>
          <Answer question={base} lines={10}>
            {(found) => {
              if (found === null) return null;
              const { draft, said } = draftFrom(found, typed, changed);
              const nameOf = nameIn(found.parties);
              const inWords = (spoken: readonly (Member | (typeof staying)[number])[]) => termsInWords({ terms: found.terms, members: spoken, partyName: nameOf, locale, catalogue: words.termsCatalogue });
              return (
                <>
                  <div className="stack" id={`${id}-change`} tabIndex={-1}>
                    <h2>{text.change}</h2>
                    <p className="soft">{text.changeHint}</p>
                    <TermsEditor
                      around={{ id, parties: found.parties, currency, errors }} draft={draft} changed={changed} agreed={found.agreed ? (member) => inWords([member]) : null} onDraft={setTyped}
                      onChanged={(now) => {
                        // What somebody begins to change begins with what was agreed.
                        setTyped({ ...draft });
                        setChanged(now);
                      }}
                    />
                  </div>
                  {changed.length === 0 ? null : <Preview said={said} />}
                  {found.agreed ? <p className="soft small">{[text.staying, ...inWords(staying)].join(' ')}</p> : null}
                  <p className="soft small">{text.leftOut}</p>
                </>
              );
            }}
          </Answer>
        </Form>
      </div>
    </section>
  );
}

interface SiteFieldProps {
  readonly id: string;
  readonly sites: readonly Site[];
  readonly siteId: string | null;
  readonly onSite: (siteId: string | null) => void;
  readonly errors: readonly FormError[];
}

function SiteField({ id, sites, siteId, onSite, errors }: SiteFieldProps) {
  return (
    <SelectField
      id={`${id}-site`} label={words.whatIf.site} none={words.whatIf.allSites} value={siteId ?? ''} error={errorAt(errors, `${id}-site`)}
      options={sites.map((each) => ({ value: each.id, text: `${each.name}, ${each.code}` }))} onValue={(value) => onSite(value === '' ? null : value)}
    />
  );
}

interface Draft {
  readonly draft: TermsDraft;
  readonly read: ReturnType<typeof readDraft>;
  /** What the changed members would say; null while something is not finished. */
  readonly said: readonly (readonly [Member, readonly string[]])[] | null;
}

function draftFrom(base: Base, typed: Partial<TermsDraft>, changed: readonly Member[]): Draft {
  const agreed = draftOf(base.terms, locale);
  const kept = Object.fromEntries(changed.flatMap((member) => (typed[member] === undefined ? [] : [[member, typed[member]]]))) as Partial<TermsDraft>;
  const whole = { ...agreed, ...kept };
  const draft = { ...whole, split: splitForParties(whole.split, base.terms.parties.map(({ id }) => id)) };
  const read = readDraft({ draft, changed, locale, currency: base.terms.currency });
  if (read.changes === null) return { draft, read, said: null };
  const terms = withChanges(base.terms, read.changes);
  return { draft, read, said: changed.map((member) => [member, termsInWords({ terms, members: [member], partyName: nameIn(base.parties), locale, catalogue: words.termsCatalogue })] as const) };
}

/** What an address brings along, as if it had been typed. */
function typedIn({ changes }: Choice, currency: Parameters<typeof plainestTerms>[0]): Partial<TermsDraft> {
  return changes === null ? {} : draftOf(withChanges(plainestTerms(currency), changes), locale);
}
