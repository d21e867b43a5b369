import { useQueries, useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { useNavigate, useParams } from 'react-router';
import { termsSchema, type TermsDocument } from '#contracts/terms';
import type { Agreement, AgreementVersion } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { Page } from '../parts/page';
import { SelectField } from '../parts/select-field';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { Retroactive } from '../set-up/retroactive';
import { sitesKey } from '../set-up/queries';
import { partyQuery, versionsOfQuery } from '../sites/queries';
import { forAnySite, forParty, OPERATOR, SITE } from '../terms/draft';
import { fieldAt } from '../terms/field-at';
import { useTermsDraft } from '../terms/use-terms-draft';
import { words } from '../words/words';
import { agreementQuery } from './queries';
import { asBody, TermsForm } from './terms-form';
import styles from './agreements.module.css';

const text = words.agreements;

/** `agreements/:id/terms`: terms that hold from a day on, or in the place of the latest ones. */
export function OtherTermsPage() {
  const { agreementId = '' } = useParams();
  const { api, may, membership } = useOperator();
  const allowed = may('agreement.change');
  const agreement = useQuery({ ...agreementQuery(api, agreementId), enabled: allowed });
  const versions = useQuery({ ...versionsOfQuery(api, agreementId), enabled: allowed });
  const others = useQueries({ queries: (agreement.data?.otherPartyIds ?? []).map((id) => partyQuery(api, id)) });
  if (!allowed) return <Denied title={text.termsTitle} />;
  const latest = versions.data?.items[0];
  const isReady = agreement.data !== undefined && latest !== undefined && others.every(({ data }) => data !== undefined);
  const data = isReady ? { agreement: agreement.data, latest, others: others.flatMap((each) => (each.data === undefined ? [] : [{ id: each.data.id, name: each.data.name }])) } : undefined;
  const question = [agreement, versions, ...others].find(({ isError }) => isError) ?? agreement;
  return (
    <Page title={text.termsTitle} lead={agreement.data === undefined ? undefined : text.termsLead(agreement.data.partyName, agreement.data.siteName)}>
      <Answer question={{ ...question, data }} lines={12}>{(found) => <Writing {...found} operatorName={membership.name} />}</Answer>
    </Page>
  );
}

interface WritingProps {
  readonly agreement: Agreement;
  readonly latest: AgreementVersion;
  readonly others: readonly { readonly id: string; readonly name: string }[];
  readonly operatorName: string;
}

function Writing({ agreement, latest, others, operatorName }: WritingProps) {
  const { api, to } = useOperator();
  const navigate = useNavigate();
  const id = useId();
  const [isCorrection, setCorrection] = useState(false);
  const [day, setDay] = useState('');
  const [reason, setReason] = useState('');
  const [confirmRetroactive, setConfirmed] = useState(false);
  const [base] = useState<TermsDocument>(() => forAnySite(termsSchema.parse(latest.terms)));
  const named = [{ id: OPERATOR, name: operatorName }, { id: SITE, name: agreement.partyName }, ...others];
  const draft = useTermsDraft({ base, parties: named, changed: [] });
  const effectiveFrom = isCorrection && day === '' ? latest.effectiveFrom : day;
  const terms = draft.terms === null ? null : asBody(forParty(draft.terms, agreement.partyId));
  const fields = { effectiveFrom: `${id}-from`, replaces: `${id}-when`, reason: `${id}-reason`, confirmRetroactive: `${id}-confirm` };
  const { errors, busy, submit } = useSending({
    send: api.addTerms, fields, elsewhere: (place, message) => ({ fieldId: fieldAt(id, place), message }), changes: [sitesKey, ['month-end']], onDone: () => void navigate(to(`sites/${agreement.siteId}`)),
  });
  const asksToConfirm = confirmRetroactive || errors.some(({ fieldId }) => fieldId === fields.confirmRetroactive || fieldId === fields.reason);
  const send = () =>
    submit(
      {
        agreementId: agreement.id,
        body: { effectiveFrom, terms: terms ?? asBody(base), confirmRetroactive, ...(isCorrection ? { replaces: latest.id } : {}), ...(reason.trim() === '' ? {} : { reason: reason.trim() }) },
      },
      [unless(effectiveFrom !== '', fields.effectiveFrom, words.setUp.dayMissing), ...draft.unfinished.map((each) => unless(false, `${id}-${each.place}`, words.terms.unfinished[each.code]))],
    );
  return (
    <TermsForm
      id={id} draft={draft} parties={named} currency={base.currency} errors={errors} busy={busy} action={text.recordTerms} onSubmit={send}
      asked={terms === null ? null : { terms, agreementId: agreement.id, ...(effectiveFrom === '' ? {} : { effectiveFrom }) }}
    >
      <div className={styles.who}>
        <SelectField
          id={fields.replaces} label={text.when} hint={isCorrection ? text.correctLead(formatDay(latest.effectiveFrom, locale)) : undefined} value={isCorrection ? 'correct' : 'later'} error={errorAt(errors, fields.replaces)}
          options={(['later', 'correct'] as const).map((value) => ({ value, text: text.whens[value] }))} onValue={(value) => setCorrection(value === 'correct')}
        />
        <Field id={fields.effectiveFrom} type="date" label={text.effectiveFrom} hint={text.effectiveFromHint} error={errorAt(errors, fields.effectiveFrom)} value={effectiveFrom} onValue={setDay} />
      </div>
      {asksToConfirm ? (
        <Retroactive confirmId={fields.confirmRetroactive} reasonId={fields.reason} errors={errors} confirmed={confirmRetroactive} reason={reason} onConfirmed={setConfirmed} onReason={setReason} />
      ) : (
        <Field id={fields.reason} label={words.reason} hint={text.reasonHint} maxLength={1000} error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} />
      )}
    </TermsForm>
  );
}
