import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { Office } from '../api/shapes';
import { locale } from '../format/locale';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Field } from '../parts/field';
import { Form } from '../parts/form';
import { Page } from '../parts/page';
import { SelectField } from '../parts/select-field';
import { linesOf, orNull, useEditForm } from '../parts/use-typed-form';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { AddressField, isTimeZone, LanguageField, SetUpViews, TimeZoneField } from './parts';
import { operatorKey, operatorQuery } from './queries';

const text = words.setUp.operator;

/** `set-up/office`: what statements and files show of the operator. */
export function OperatorPage() {
  const { api, may } = useOperator();
  const [timesSaved, setTimesSaved] = useState(0);
  const allowed = may('operator.change');
  const question = useQuery({ ...operatorQuery(api), enabled: allowed });
  if (!allowed) return <Denied title={text.title} />;
  return (
    <Page title={text.title} lead={text.lead} actions={<SetUpViews />}>
      <Answer question={question} lines={10}>{(office) => <Settings key={timesSaved} office={office} isSaved={timesSaved > 0} onSaved={() => setTimesSaved(timesSaved + 1)} />}</Answer>
    </Page>
  );
}

interface SettingsProps {
  readonly office: Office;
  readonly isSaved: boolean;
  readonly onSaved: () => void;
}

function Settings({ office, isSaved, onSaved }: SettingsProps) {
  const { api } = useOperator();
  const { typed, field, errors, conflict, busy, submit } = useEditForm({
    edited: {
      thing: office,
      read: () => api.operatorSettings(),
      enteredOf: (of) => ({
        name: of.name, addressLines: of.addressLines.join('\n'), locale: of.locale, timeZone: of.timeZone, paper: of.paper, csvDecimal: of.csvDecimal,
        verificationAddress: of.verificationAddress ?? '', statementMails: of.statementMails, paymentDays: of.paymentDays === null ? '' : String(of.paymentDays),
        statementsStamped: of.statementsStamped ? ('yes' as const) : ('no' as const),
        secondFactorRequired: of.secondFactorRequired ? ('yes' as const) : ('no' as const),
      }),
      fields: {
        name: { label: words.setUp.name }, addressLines: { label: words.setUp.address }, locale: { label: text.locale }, timeZone: { label: words.setUp.timeZone },
        paper: { label: text.paper, says: (paper) => text.papers[paper] }, csvDecimal: { label: text.csvDecimal, says: (decimal) => text.csvDecimals[decimal] },
        verificationAddress: { label: text.verification }, paymentDays: { label: text.paymentDays },
        statementsStamped: { label: text.stamped, says: (stamped) => text.stampedChoices[stamped] },
        statementMails: { label: text.statementMails, says: (mails) => text.statementMailsChoices[mails] }, secondFactorRequired: { label: text.secondFactor, says: (required) => text.secondFactors[required] },
      },
    },
    missing: (now) => ({
      name: now.name.trim() === '' && words.setUp.nameMissing,
      locale: now.locale.trim() === '' && text.localeMissing,
      timeZone: !isTimeZone(now.timeZone) && words.setUp.timeZoneWrong,
      paymentDays: !/^(\d{1,2}|[12]\d\d|3[0-5]\d|36[0-5])?$/.test(now.paymentDays.trim()) && text.paymentDaysWrong,
    }),
    body: (now, { revision }) => ({
      revision,
      body: {
        name: now.name.trim(), addressLines: linesOf(now.addressLines), locale: now.locale.trim(), timeZone: now.timeZone, paper: now.paper === 'A4' ? ('A4' as const) : ('Letter' as const),
        csvDecimal: now.csvDecimal === 'comma' ? ('comma' as const) : ('point' as const), verificationAddress: orNull(now.verificationAddress),
        statementMails: now.statementMails === 'when-issued' ? ('when-issued' as const) : ('when-asked' as const), paymentDays: now.paymentDays.trim() === '' ? null : Number(now.paymentDays), secondFactorRequired: now.secondFactorRequired === 'yes',
        statementsStamped: now.statementsStamped === 'yes',
      },
    }),
    send: api.changeOperator,
    changes: [operatorKey],
    onDone: onSaved,
  });
  const names = (kind: 'region' | 'currency', code: string): string => `${new Intl.DisplayNames(locale, { type: kind }).of(code) ?? code} (${code})`;
  return (
    <Form errors={errors} conflict={conflict} busy={busy} action={words.setUp.save} onSubmit={submit} beside={<span role="status">{isSaved ? text.saved : null}</span>}>
      <Field {...field('name')} label={words.setUp.name} maxLength={200} autoComplete="off" />
      <AddressField {...field('addressLines')} />
      <TimeZoneField {...field('timeZone')} />
      <LanguageField {...field('locale')} label={text.locale} hint={text.localeHint} />
      <SelectField {...field('paper')} label={text.paper} options={(['A4', 'Letter'] as const).map((value) => ({ value, text: text.papers[value] }))} />
      <SelectField {...field('csvDecimal')} label={text.csvDecimal} options={(['point', 'comma'] as const).map((value) => ({ value, text: text.csvDecimals[value] }))} />
      <Field {...field('verificationAddress')} type="url" label={text.verification} hint={text.verificationHint} maxLength={150} autoComplete="off" />
      <Field {...field('paymentDays')} inputMode="numeric" label={text.paymentDays} hint={text.paymentDaysHint} maxLength={3} autoComplete="off" />
      <SelectField {...field('statementMails')} label={text.statementMails} hint={text.statementMailsHint} options={(['when-asked', 'when-issued'] as const).map((value) => ({ value, text: text.statementMailsChoices[value] }))} />
      <SelectField {...field('statementsStamped')} label={text.stamped} hint={text.stampedHint} options={(['no', 'yes'] as const).map((value) => ({ value, text: text.stampedChoices[value] }))} />
      <SelectField {...field('secondFactorRequired')} label={text.secondFactor} options={(['no', 'yes'] as const).map((value) => ({ value, text: text.secondFactors[value] }))} />
      <p className="soft small">
        {[`${text.code}: ${office.code}`, `${text.country}: ${names('region', office.country)}`, `${text.currency}: ${names('currency', office.currency)}`, text.stays].join('. ')}
      </p>
      {typed.secondFactorRequired === 'yes' && !office.secondFactorRequired ? <p>{text.secondFactorWarning}</p> : null}
    </Form>
  );
}
