import type { LawLimit } from '../api/shapes';
import { locale } from '../format/locale';
import { readTypedPercent } from '../format/typed-percent';
import { Field } from '../parts/field';
import { FormDialog } from '../parts/form-dialog';
import { SelectField } from '../parts/select-field';
import { useTypedForm } from '../parts/use-typed-form';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { taxKey } from './queries';

const text = words.setUp.taxAreas;
const kinds = ['highest-site-share', 'fixed-split', 'no-advances'] as const;

interface OfArea {
  readonly areaId: string;
  readonly onClose: () => void;
}

/** What an agreement at a site of the area may not pass. */
export function RecordLimit({ areaId, onClose }: OfArea) {
  const { api } = useOperator();
  const percent = (typed: string) => readTypedPercent({ text: typed, locale });
  const { typed, field, errors, busy, submit } = useTypedForm({
    initial: { kind: 'highest-site-share', percent: '', operatorPercent: '', sitePercent: '', validFrom: '', source: '' },
    missing: (now) => ({
      percent: now.kind === 'highest-site-share' && percent(now.percent) === null && text.percentWrong,
      operatorPercent: now.kind === 'fixed-split' && percent(now.operatorPercent) === null && text.percentWrong,
      sitePercent: now.kind === 'fixed-split' && percent(now.sitePercent) === null && text.percentWrong,
      validFrom: now.validFrom === '' && words.setUp.dayMissing,
      source: now.source.trim() === '' && text.sourceMissing,
    }),
    body: (now) => ({ areaId, body: { validFrom: now.validFrom, source: now.source.trim(), document: documentOf(now, percent) } }),
    send: api.createLawLimit,
    changes: [taxKey],
    onDone: onClose,
    named: { document: 'kind' },
  });
  return (
    <FormDialog title={text.limitTitle} lead={text.limitLead} errors={errors} busy={busy} action={text.record} onSubmit={submit} onClose={onClose}>
      <SelectField {...field('kind')} label={text.limitKind} options={kinds.map((value) => ({ value, text: text.limitKinds[value] }))} />
      {typed.kind === 'highest-site-share' ? <Field {...field('percent')} label={text.highest} inputMode="decimal" autoComplete="off" /> : null}
      {typed.kind === 'fixed-split' ? (
        <>
          <Field {...field('operatorPercent')} label={text.operatorPercent} inputMode="decimal" autoComplete="off" />
          <Field {...field('sitePercent')} label={text.sitePercent} inputMode="decimal" autoComplete="off" />
        </>
      ) : null}
      <Field {...field('validFrom')} type="date" label={text.validFrom} />
      <Field {...field('source')} label={text.published} hint={text.publishedHint} maxLength={500} autoComplete="off" />
    </FormDialog>
  );
}

interface Typed {
  readonly kind: string;
  readonly percent: string;
  readonly operatorPercent: string;
  readonly sitePercent: string;
}

function documentOf({ kind, ...typed }: Typed, percent: (text: string) => string | null): LawLimit['document'] {
  if (kind === 'no-advances') return { kind };
  if (kind === 'fixed-split') return { kind, operatorPercent: percent(typed.operatorPercent) ?? '', sitePercent: percent(typed.sitePercent) ?? '' };
  return { kind: 'highest-site-share', percent: percent(typed.percent) ?? '' };
}

/** It stays on record, and binds nothing from that day on. */
export function EndLimit({ areaId, limit, onClose }: OfArea & { readonly limit: LawLimit }) {
  const { api } = useOperator();
  const { field, errors, busy, submit } = useTypedForm({
    initial: { validTo: '' },
    missing: (now) => ({ validTo: now.validTo === '' && words.setUp.dayMissing }),
    body: (now) => ({ areaId, id: limit.id, validTo: now.validTo }),
    send: api.endLawLimit,
    changes: [taxKey],
    onDone: onClose,
  });
  return (
    <FormDialog title={text.endLimit} errors={errors} busy={busy} action={text.end} onSubmit={submit} onClose={onClose}>
      <Field {...field('validTo')} type="date" label={text.validTo} />
    </FormDialog>
  );
}
