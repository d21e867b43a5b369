import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { useSearchParams } from 'react-router';
import type { YearEnd } from '../api/shapes';
import { dayOf } from '../format/day';
import { Amount } from '../parts/amount';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Download } from '../parts/download';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { Page } from '../parts/page';
import { TitledTable } from '../parts/titled-table';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { moneyOut, yearEndQuery } from './queries';

const text = words.moneyOut.yearEnd;

/** `payment-runs/year-end`: what was paid to whom in a year. The year stands in the address. */
export function YearEndPage() {
  const { api, may } = useOperator();
  const id = useId();
  const [parameters, setParameters] = useSearchParams();
  const year = Number(/^(19|20|21)\d\d$/.exec(parameters.get('year') ?? '')?.[0] ?? dayOf(new Date()).slice(0, 4));
  const allowed = may('year-end.read');
  const question = useQuery({ ...yearEndQuery(api, year), enabled: allowed });
  if (!allowed) return <Denied title={text.title} />;
  return (
    <Page title={text.title} lead={text.lead} actions={may('year-end.export') ? <Download text={text.download} file={() => api.yearEndFile(year)} /> : undefined}>
      <div className="form">
        <Field id={id} inputMode="numeric" maxLength={4} label={text.year} defaultValue={String(year)} onValue={(value) => (/^(19|20|21)\d\d$/.test(value) ? setParameters({ year: value }, { replace: true }) : undefined)} />
      </div>
      <Answer question={question} lines={8}>{(found) => <Payees yearEnd={found} />}</Answer>
    </Page>
  );
}

type Payee = YearEnd['payees'][number];

function Payees({ yearEnd }: { readonly yearEnd: YearEnd }) {
  const [asked, setAsked] = useState<Payee | null>(null);
  return (
    <>
      <section className="section" aria-labelledby="cautions">
        <h2 id="cautions">{text.cautions}</h2>
        <ul>
          {text.cautionsAre.map((caution) => (
            <li key={caution}>{caution}</li>
          ))}
        </ul>
        <p className="soft">{yearEnd.thresholdSource === null ? text.noThreshold : text.source(yearEnd.thresholdSource)}</p>
      </section>
      {yearEnd.missingNumbers === 0 ? null : <p>{text.missingNumbers(yearEnd.missingNumbers)}</p>}
      <TitledTable
        id="payees" title={text.payees} none={text.none} columns={[text.payee, text.rents, text.partnership, text.passedOn, text.notSettled, text.taxpayer]}
        figures={[text.rents, text.partnership, text.passedOn, text.notSettled]}
        rows={yearEnd.payees.map((payee) => <PayeeRow key={`${payee.partyId} ${payee.currency}`} payee={payee} isThresholdKnown={yearEnd.thresholdSource !== null} onAsked={setAsked} />)}
      />
      {asked === null ? null : <EnterNumber payee={asked} onClose={() => setAsked(null)} />}
    </>
  );
}

function PayeeRow({ payee, isThresholdKnown, onAsked }: { readonly payee: Payee; readonly isThresholdKnown: boolean; readonly onAsked: (payee: Payee) => void }) {
  const { may } = useOperator();
  const reported = payee.reportable === null ? (isThresholdKnown ? text.notKnown : null) : payee.reportable ? text.reportable : null;
  return (
    <tr>
      <th scope="row">
        {payee.partyName} <span className="soft small code">{payee.partyCode}</span>
      </th>
      <td className="figure">
        <Amount money={payee.rents} />
        {reported === null ? null : <div className="soft small">{reported}</div>}
      </td>
      {[payee.partnership, payee.passedOn, payee.notSettled].map((money, index) => (
        <td key={index} className="figure">
          <Amount money={money} />
        </td>
      ))}
      <td>
        {payee.taxpayerNumber === null ? text.missing : text.ending(payee.taxpayerNumber)}{' '}
        {may('taxpayer-number.record') ? (
          <button type="button" className="button button-small" aria-label={text.enterFor(payee.partyName)} onClick={() => onAsked(payee)}>
            {text.enter}
          </button>
        ) : null}
      </td>
    </tr>
  );
}

function EnterNumber({ payee, onClose }: { readonly payee: Payee; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const [number, setNumber] = useState('');
  const { errors, busy, submit } = useSending({ send: api.recordTaxpayerNumber, fields: { number: id }, changes: [moneyOut], onDone: onClose });
  return (
    <FormDialog title={text.enterFor(payee.partyName)} lead={text.enterLead} errors={errors} busy={busy} action={text.enter} onSubmit={() => submit({ partyId: payee.partyId, number }, [unless(number.trim() !== '', id, words.moneyOut.accounts.missing)])} onClose={onClose}>
      <Field id={id} label={text.taxpayer} autoComplete="off" maxLength={21} error={errorAt(errors, id)} value={number} onValue={setNumber} />
    </FormDialog>
  );
}
