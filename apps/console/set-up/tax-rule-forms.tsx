import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { isCurrencyCode } from '#domain/money/currency';
import type { TaxArea, TaxRule } from '../api/shapes';
import { asCode, isCode } from '../format/code';
import { locale } from '../format/locale';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { SelectField } from '../parts/select-field';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { CodeField } from './parts';
import { operatorQuery, taxKey } from './queries';
import { Retroactive } from './retroactive';
import { TaxDetails, TaxParts } from './tax-rule-details';
import { componentsOf, detailsOf, onePart, plainDetails, readRule, type WrongPlace } from './tax-rule-draft';

const text = words.setUp.taxAreas;
const longestCode = 30;

interface OfArea {
  readonly area: TaxArea;
  readonly onClose: () => void;
}

/** A tax, or new figures for one that there is. What most taxes leave as it is lies folded away below. */
export function RecordRule({ area, rule, onClose }: OfArea & { readonly rule: TaxRule | null }) {
  const { api } = useOperator();
  const id = useId();
  const office = useQuery(operatorQuery(api));
  const before = rule?.document ?? null;
  const [own, setOwn] = useState({ currency: before?.currency ?? null, code: rule?.code ?? '', title: before?.title ?? '', validFrom: '', source: '', reason: '' });
  const [ways, setWays] = useState({
    method: before?.method ?? 'inside', per: before?.method === 'fixed' ? before.per : ('month' as const), filedBy: before?.filedBy ?? ('operator' as const), borneBy: before?.borneBy ?? ('all' as const), breakIns: before?.breakIns ?? ('not-in-base' as const),
  });
  const [components, setComponents] = useState(() => (rule === null ? onePart : componentsOf(rule, locale)));
  const [details, setDetails] = useState(() => (rule === null ? plainDetails : detailsOf(rule, locale)));
  const [confirmRetroactive, setConfirmed] = useState(false);
  const named = own.currency ?? office.data?.currency ?? 'USD';
  const currency = isCurrencyCode(named) ? named : 'USD';
  const read = readRule({ ...ways, before, title: own.title, currency, components, details, locale });
  const fields = { code: `${id}-code`, validFrom: `${id}-from`, source: `${id}-source`, reason: `${id}-reason`, confirmRetroactive: `${id}-confirm` };
  const { errors, busy, submit } = useSending({ send: api.createTaxRule, fields, elsewhere: (pointer, message) => ({ fieldId: `${id}-${placeOf(pointer)}`, message }), changes: [taxKey], onDone: onClose });
  const asksToConfirm = errors.some(({ fieldId }) => fieldId === fields.confirmRetroactive || fieldId === fields.reason);
  const set = (part: Partial<typeof own>) => setOwn((now) => ({ ...now, ...part }));
  const isFixed = ways.method === 'fixed';
  const messages: Readonly<Record<string, string>> = {
    figure: isFixed ? text.amountWrong : text.percentWrong, title: text.partNameMissing, kinds: words.machines.kindWrong, cap: text.amountWrong, dueDay: text.dayOfYearWrong, laterFigure: text.amountWrong, laterDay: text.dayOfYearWrong,
  };
  const send = () =>
    submit({ areaId: area.id, body: { code: asCode(own.code), validFrom: own.validFrom, source: own.source.trim(), document: read.document, endsPrevious: rule !== null, confirmRetroactive, ...(own.reason.trim() === '' ? {} : { reason: own.reason.trim() }) } }, [
      unless(own.title.trim() !== '', `${id}-title`, words.setUp.nameMissing),
      unless(isCode({ typed: own.code, longest: longestCode }), fields.code, words.setUp.longCodeWrong),
      ...read.wrong.map((place) => unless(false, `${id}-${place}`, messages[place.split('-')[0] ?? ''] ?? '')),
      unless(own.validFrom !== '', fields.validFrom, words.setUp.dayMissing),
    ]);
  const choice = <Name extends keyof typeof ways>(name: Name, label: string, texts: Readonly<Record<(typeof ways)[Name], string>>) => {
    const values = Object.keys(texts) as (typeof ways)[Name][];
    return <SelectField id={`${id}-${name}`} label={label} value={ways[name]} options={values.map((value) => ({ value, text: texts[value] }))} onValue={(value) => setWays((now) => ({ ...now, [name]: values.find((each) => each === value) ?? now[name] }))} />;
  };
  return (
    <FormDialog title={rule === null ? text.newRule : text.rateTitle(rule.document.title)} lead={text.ruleLead} errors={errors} busy={busy} needs={[office]} action={text.record} onSubmit={send} onClose={onClose}>
      {rule === null ? (
        <>
          <Field id={`${id}-title`} label={text.titleOnStatement} maxLength={200} autoComplete="off" error={errorAt(errors, `${id}-title`)} value={own.title} onValue={(title) => set({ title })} />
          <CodeField id={fields.code} label={text.ruleCode} hint={text.ruleCodeHint} error={errorAt(errors, fields.code)} value={own.code} onValue={(code) => set({ code })} />
          {choice('method', text.method, text.methods)}
          {isFixed ? choice('per', text.per, text.pers) : null}
        </>
      ) : null}
      <TaxParts id={id} components={components} isFixed={isFixed} mayDiffer={isFixed && details.timing === 'when-due' && details.onPlacement} currency={currency} errors={errors} onComponents={setComponents} />
      {choice('filedBy', text.filedBy, text.filedBys)}
      {choice('borneBy', text.borneBy, text.borneBys)}
      {choice('breakIns', text.breakIns, text.breakInsOf)}
      <Field id={fields.validFrom} type="date" label={text.validFrom} error={errorAt(errors, fields.validFrom)} value={own.validFrom} onValue={(validFrom) => set({ validFrom })} />
      <Field id={fields.source} label={text.published} hint={text.publishedHint} maxLength={500} autoComplete="off" error={errorAt(errors, fields.source)} value={own.source} onValue={(source) => set({ source })} />
      <TaxDetails id={id} details={details} method={ways.method} currency={currency} errors={errors} onChange={(part) => setDetails((now) => ({ ...now, ...part }))} />
      {asksToConfirm || confirmRetroactive ? (
        <Retroactive confirmId={fields.confirmRetroactive} reasonId={fields.reason} errors={errors} confirmed={confirmRetroactive} reason={own.reason} onConfirmed={setConfirmed} onReason={(reason) => set({ reason })} />
      ) : null}
    </FormDialog>
  );
}

/** `#/document/components/1/ratePercent` is about the figure of the second part. */
function placeOf(pointer: string): WrongPlace | 'title' {
  const [, index, rest = ''] = /^#\/document\/components\/(\d+)\/?(.*)$/.exec(pointer) ?? [];
  const part = Number(index ?? '0');
  if (index !== undefined) return rest.startsWith('placedLater/amount') ? `laterFigure-${part}` : rest.startsWith('placedLater') ? `laterDay-${part}` : rest === 'title' || rest === 'id' ? `title-${part}` : `figure-${part}`;
  if (pointer.startsWith('#/document/capPerMachineMonth')) return 'cap';
  if (pointer.startsWith('#/document/timing')) return 'dueDay';
  if (pointer.startsWith('#/document/machineKinds')) return 'kinds';
  return pointer.startsWith('#/document/title') ? 'title' : 'figure-0';
}

/** The tax is not in force any more from a day on. */
export function EndRule({ area, rule, onClose }: OfArea & { readonly rule: TaxRule }) {
  const { api } = useOperator();
  const id = useId();
  const [validTo, setValidTo] = useState('');
  const [reason, setReason] = useState('');
  const [confirmRetroactive, setConfirmed] = useState(false);
  const fields = { validTo: `${id}-to`, reason: `${id}-reason`, confirmRetroactive: `${id}-confirm` };
  const { errors, busy, submit } = useSending({ send: api.endTaxRule, fields, changes: [taxKey], onDone: onClose });
  const asksToConfirm = errors.some(({ fieldId }) => fieldId === fields.confirmRetroactive || fieldId === fields.reason);
  const send = () => submit({ areaId: area.id, id: rule.id, validTo, confirmRetroactive, ...(reason.trim() === '' ? {} : { reason: reason.trim() }) }, [unless(validTo !== '', fields.validTo, words.setUp.dayMissing)]);
  return (
    <FormDialog title={text.endTitle(rule.document.title)} lead={text.endLead} errors={errors} busy={busy} action={text.end} onSubmit={send} onClose={onClose}>
      <Field id={fields.validTo} type="date" label={text.validTo} error={errorAt(errors, fields.validTo)} value={validTo} onValue={setValidTo} />
      {asksToConfirm || confirmRetroactive ? (
        <Retroactive confirmId={fields.confirmRetroactive} reasonId={fields.reason} errors={errors} confirmed={confirmRetroactive} reason={reason} onConfirmed={setConfirmed} onReason={setReason} />
      ) : null}
    </FormDialog>
  );
}
