import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { Link, useParams } from 'react-router';
import type { VarianceFlagDetail } from '../api/shapes';
import { KeyCheck } from '../collections/key-check';
import { UnreadMeters } from '../collections/unread-meters';
import { formatDay, formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import { OpenersFound } from '../keys/openers-answer';
import { Moment } from '../keys/parts';
import { Amount } from '../parts/amount';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { Page } from '../parts/page';
import { SelectField } from '../parts/select-field';
import { unless, useSending } from '../parts/use-sending';
import { Wide } from '../parts/wide';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { useSiteNames } from '../sites/site-names';
import { words } from '../words/words';
import { Beside } from './compared';
import { MachineEvents } from './machine-events';
import { Expected, reasonsAlone, reasonsOf, Variance, VarianceViews } from './parts';
import { varianceFlagQuery } from './queries';

const text = words.variances.flag;

/** `variances/flags/:id`: what was raised and said, who could have opened the box, and whether who emptied it had a key. */
export function FlagPage() {
  const { flagId = '' } = useParams();
  const { api, may } = useOperator();
  const allowed = may('variance.read');
  const siteNamed = useSiteNames(allowed);
  const question = useQuery({ ...varianceFlagQuery(api, flagId), enabled: allowed });
  if (!allowed) return <Denied title={text.titlePlain} />;
  const flag = question.data?.flag;
  return (
    <Page title={flag === undefined ? text.titlePlain : text.title(flag.machineTag, formatDay(flag.localDate, locale))} lead={flag === undefined ? undefined : `${siteNamed(flag.siteCode)}. ${reasonsAlone(flag.reasons)}.`} actions={<VarianceViews />}>
      <Answer question={question} lines={12}>
        {(detail) => (
          <>
            <Figures detail={detail} />
            <UnreadMeters collectionId={detail.flag.collectionId} meters={detail.unreadMeters} />
            <Beside compared={detail.compared} />
            <History detail={detail} />
            <Openers detail={detail} />
            <MachineEvents detail={detail} />
            {detail.keyCheck === null ? null : <KeyCheck check={detail.keyCheck} />}
          </>
        )}
      </Answer>
    </Page>
  );
}

interface PartProps {
  readonly detail: VarianceFlagDetail;
}

function Figures({ detail: { flag, machineSays } }: PartProps) {
  const { may, to } = useOperator();
  const heads = [words.variances.expected, words.variances.counted, words.variances.difference];
  return (
    <section className="section" aria-labelledby="figures">
      <h2 id="figures">{text.figures}</h2>
      <Wide title={text.figures}>
        <table>
          <caption className="visually-hidden">{text.figures}</caption>
          <thead>
            <tr>
              <th scope="col">{text.byTender}</th>
              {heads.map((head) => (
                <th key={head} scope="col" className="figure">
                  {head}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {flag.figures.map(({ tender, counted, variance, ...figure }) => (
              <tr key={tender}>
                <th scope="row">{words.variances.tender[tender]}</th>
                <td className="figure">
                  <Expected figure={figure} alone />
                </td>
                <td className="figure">
                  <Amount money={counted} alone />
                </td>
                <td className="figure">
                  <Variance money={variance} alone />
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
      {machineSays.map((says) => (
        <p key={says.from}>
          {text.machineSays({
            amounts: says.amounts.map(({ tender, amount }) => `${words.variances.tender[tender]} ${formatMoney(amount, locale)}`).join(', '),
            from: formatInstant(says.from, locale),
            to: formatInstant(says.to, locale),
          })}
        </p>
      ))}
      {flag.reasons.includes('round-unseen') ? <p>{text.roundUnseen}</p> : null}
      <div className="row">
        {may('collection.read') ? <Link to={to(`collections/${flag.collectionId}`)}>{text.toCollection}</Link> : null}
        {flag.reasons.includes('round-unseen') && may('machine.read') ? <Link to={to(`machines/${flag.machineId}`)}>{text.toReadings(flag.machineTag)}</Link> : null}
        <Link to={to(`variances/machines/${flag.machineId}`)}>{text.chart}</Link>
      </div>
    </section>
  );
}

/** What stands under the title need not be said again. */
const saysTheSame = (one: readonly string[], other: readonly string[]): boolean => one.length === other.length && one.every((reason) => other.includes(reason));

function History({ detail }: PartProps) {
  const { may } = useOperator();
  const actorName = useActorName();
  const [isExplaining, setExplaining] = useState(false);
  const { flag, history } = detail;
  return (
    <section className="section" aria-labelledby="history">
      <h2 id="history">{text.history}</h2>
      <ul className="stack">
        {history.map((event) => (
          <li key={`${event.kind} ${event.happenedAt}`}>
            <p>{event.kind === 'changed' ? text.changed : event.cause === null ? text.raised(saysTheSame(event.reasons, flag.reasons) ? null : reasonsOf(event.reasons)) : text.explained(causeText(event.cause))}</p>
            {event.evidence === null ? null : <p>{event.evidence}</p>}
            <p className="soft small">
              <Moment instant={event.happenedAt} /> {actorName(event.happenedBy)}
            </p>
          </li>
        ))}
      </ul>
      {detail.withoutSecondPerson ? <p className="notice">{text.alone}</p> : null}
      {flag.state === 'open' && may('variance.explain', 'open') ? (
        <div>
          <button type="button" className="button button-main" onClick={() => setExplaining(true)}>
            {text.explain}
          </button>
        </div>
      ) : null}
      {isExplaining ? <Explain flagId={flag.id} onClose={() => setExplaining(false)} /> : null}
    </section>
  );
}

const causes = ['counting-error', 'meter-error', 'refund-without-slip', 'test-plays', 'machine-fault', 'float-changed', 'break-in', 'theft-suspected', 'not-found'] as const;

function causeText(cause: string): string {
  const known = causes.find((each) => each === cause);
  return known === undefined ? cause : text.causes[known];
}

function Explain({ flagId, onClose }: { readonly flagId: string; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const [cause, setCause] = useState<(typeof causes)[number] | null>(null);
  const [evidence, setEvidence] = useState('');
  const fields = { cause: `${id}-cause`, evidence: `${id}-evidence` };
  const { errors, busy, submit } = useSending({ send: api.explainVarianceFlag, fields, changes: [['variances']], onDone: onClose });
  const send = () =>
    submit({ id: flagId, cause: cause ?? 'not-found', evidence: evidence.trim() }, [
      unless(cause !== null, fields.cause, text.causeMissing),
      unless(evidence.trim().length >= 3, fields.evidence, text.evidenceMissing),
    ]);
  return (
    <FormDialog title={text.explain} lead={text.explainLead} errors={errors} busy={busy} action={text.explain} onSubmit={send} onClose={onClose}>
      <SelectField
        id={fields.cause} label={text.cause} error={errorAt(errors, fields.cause)} value={cause ?? ''} none={text.choose}
        options={causes.map((value) => ({ value, text: text.causes[value] }))} onValue={(value) => setCause(causes.find((each) => each === value) ?? null)}
      />
      <Field id={fields.evidence} label={text.evidence} hint={text.evidenceHint} autoComplete="off" maxLength={1000} error={errorAt(errors, fields.evidence)} value={evidence} onValue={setEvidence} />
    </FormDialog>
  );
}

function Openers({ detail }: PartProps) {
  return (
    <section className="section" aria-labelledby="could-open">
      <h2 id="could-open">{text.openers}</h2>
      <p className="notice">{text.openersLead}</p>
      {detail.openers === null ? <p>{text.notEmptied}</p> : <OpenersFound answer={detail.openers} />}
    </section>
  );
}
