import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { isCurrencyCode, type CurrencyCode } from '#domain/money/currency';
import type { Office, ToleranceRuleSet, ToleranceRuleSets } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import { readTypedAmount } from '../format/typed-amount';
import { readTypedPercent } from '../format/typed-percent';
import { today } from '../keys/set-up/day-field';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Field } from '../parts/field';
import { FormDialog } from '../parts/form-dialog';
import { Page } from '../parts/page';
import { SelectField } from '../parts/select-field';
import { TitledTable } from '../parts/titled-table';
import { useTypedForm } from '../parts/use-typed-form';
import { useOperator } from '../session/operator';
import { NoTolerance } from '../variances/no-tolerance';
import { words } from '../words/words';
import { OpenButton, SetUpViews } from './parts';
import { operatorQuery, toleranceKey, toleranceQuery } from './queries';

const text = words.setUp.tolerance;

/** `set-up/tolerances`: from which difference of count and meters on somebody has to explain it. */
export function TolerancesPage() {
  const { api, may } = useOperator();
  const [isAdding, setAdding] = useState(false);
  const allowed = may('tolerance-rule-set.read');
  const question = useQuery({ ...toleranceQuery(api), enabled: allowed });
  const mayRecord = may('tolerance-rule-set.record');
  const office = useQuery({ ...operatorQuery(api), enabled: mayRecord });
  if (!allowed) return <Denied title={text.title} />;
  return (
    <Page title={text.title} lead={text.lead} actions={<SetUpViews />}>
      <Answer question={question} lines={5}>
        {({ items: rules, currencies }) => (
          <div className="stack">
            <NoTolerance isHere />
            {hasUsual(rules, currencies) ? <p>{text.usual}</p> : null}
            <TitledTable
              id="tolerances" title={text.inForce} none={text.none} columns={[text.tolerance, text.says, text.from]}
              rows={rules.map((rule) => (
                <tr key={rule.id}>
                  <th scope="row">
                    {rule.name} <span className="code small">{rule.currency}</span>
                  </th>
                  <td>{inWords(rule)}</td>
                  <td>{formatDay(rule.effectiveOn, locale)}</td>
                </tr>
              ))}
            />
            {mayRecord && office.data !== undefined ? (
              <div>
                <OpenButton main onClick={() => setAdding(true)}>{text.add}</OpenButton>
              </div>
            ) : null}
            {isAdding && office.data !== undefined ? <Record currencies={offered(office.data, question.data)} onClose={() => setAdding(false)} /> : null}
          </div>
        )}
      </Answer>
    </Page>
  );
}

/** Dollars have a tolerance of themselves, until the owner decides. */
function hasUsual(rules: readonly ToleranceRuleSet[], currencies: readonly string[]): boolean {
  return currencies.includes('USD') && !rules.some(({ currency, effectiveOn }) => currency === 'USD' && effectiveOn <= today());
}

/** Currencies for which a tolerance may be wanted, first the one that has none. */
function offered(office: Office, known: ToleranceRuleSets | undefined): readonly CurrencyCode[] {
  return [...new Set([...(known?.withoutTolerance ?? []), office.currency, ...(known?.currencies ?? [])])].filter(isCurrencyCode);
}

function inWords({ amount, percent, joinedBy, percentOf, outWhen, countersApart }: ToleranceRuleSet): string {
  const written = percent === null ? null : new Intl.NumberFormat(locale, { style: 'unit', unit: 'percent', maximumFractionDigits: 9 }).format(percent as Intl.StringNumericLiteral);
  const limits = [...(amount === null ? [] : [formatMoney(amount, locale)]), ...(written === null ? [] : [text.percentSays[percentOf](written)])];
  const says = text.outSays[outWhen](limits.join(joinedBy === 'and' ? text.and : text.or));
  return countersApart === null ? says : `${says}; ${text.countersSay(formatMoney(countersApart, locale))}`;
}

/** Judges counts from a day on; what was judged before stays as it was. */
function Record({ currencies, onClose }: { readonly currencies: readonly CurrencyCode[]; readonly onClose: () => void }) {
  const { api } = useOperator();
  const chosen = (currency: string): CurrencyCode => currencies.find((each) => each === currency) ?? 'USD';
  const amountOf = (typed: string, currency: string) => (typed.trim() === '' ? undefined : readTypedAmount({ text: typed, currency: chosen(currency), locale }));
  const apartOf = (typed: string, currency: string) => (typed.trim() === '' ? undefined : readTypedAmount({ text: typed, currency: chosen(currency), locale, zero: true }));
  const percentOf = (typed: string) => (typed.trim() === '' ? undefined : readTypedPercent({ text: typed, locale }));
  const { typed, field, errors, busy, submit } = useTypedForm({
    initial: { currency: currencies[0] ?? 'USD', name: '', effectiveOn: today(), amount: '', percent: '', countersApart: '', joinedBy: 'and', percentOf: 'metered', outWhen: 'more-than' },
    missing: (now) => ({
      name: now.name.trim() === '' && words.setUp.nameMissing,
      effectiveOn: now.effectiveOn === '' && words.setUp.dayMissing,
      amount: amountOf(now.amount, now.currency) === null ? text.amountWrong : now.amount.trim() === '' && now.percent.trim() === '' && text.oneMissing,
      percent: percentOf(now.percent) === null && text.percentWrong,
      countersApart: apartOf(now.countersApart, now.currency) === null && text.amountWrong,
    }),
    body: (now) => {
      const [amount, percent, countersApart] = [amountOf(now.amount, now.currency), percentOf(now.percent), apartOf(now.countersApart, now.currency)];
      return {
        name: now.name.trim(), currency: chosen(now.currency), effectiveOn: now.effectiveOn, joinedBy: now.joinedBy === 'or' ? ('or' as const) : ('and' as const), percentOf: now.percentOf === 'counted' ? ('counted' as const) : ('metered' as const),
        outWhen: now.outWhen === 'at-least' ? ('at-least' as const) : ('more-than' as const), ...(amount === undefined || amount === null ? {} : { amount: { ...amount } }), ...(percent === undefined || percent === null ? {} : { percent }),
        ...(countersApart === undefined || countersApart === null ? {} : { countersApart: { ...countersApart } }),
      };
    },
    send: api.recordToleranceRules,
    changes: [toleranceKey],
    onDone: onClose,
  });
  return (
    <FormDialog title={text.addTitle} errors={errors} busy={busy} action={text.add} onSubmit={submit} onClose={onClose}>
      <Field {...field('name')} label={words.setUp.name} maxLength={200} autoComplete="off" />
      {currencies.length === 1 ? null : <SelectField {...field('currency')} label={text.currency} options={currencies.map((value) => ({ value, text: value }))} />}
      <Field {...field('effectiveOn')} type="date" label={text.effectiveOn} />
      <Field {...field('amount')} label={text.amount(typed.currency)} inputMode="decimal" autoComplete="off" />
      <Field {...field('percent')} label={text.percent} inputMode="decimal" autoComplete="off" />
      <SelectField {...field('joinedBy')} label={text.joinedBy} options={(['and', 'or'] as const).map((value) => ({ value, text: text.joins[value] }))} />
      <SelectField {...field('percentOf')} label={text.percentOf} options={(['metered', 'counted'] as const).map((value) => ({ value, text: text.percentOfs[value] }))} />
      <SelectField {...field('outWhen')} label={text.outWhen} options={(['more-than', 'at-least'] as const).map((value) => ({ value, text: text.outWhens[value] }))} />
      <Field {...field('countersApart')} label={text.countersApart(typed.currency)} hint={text.countersApartHint} inputMode="decimal" autoComplete="off" />
    </FormDialog>
  );
}
