import { useQuery } from '@tanstack/react-query';
import { useId } from 'react';
import { Link } from 'react-router';
import type { VarianceReport } from '../api/shapes';
import type { ReportAsked } from '../api/variances-api';
import { formatCount } from '../format/count';
import { locale } from '../format/locale';
import { everySiteQuery } from '../keys/queries';
import { monthInWords } from '../format/month-in-words';
import { useAddressParameters } from '../parts/address-parameters';
import { Amount } from '../parts/amount';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Download } from '../parts/download';
import { Field } from '../parts/field';
import { Page } from '../parts/page';
import { SelectField } from '../parts/select-field';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { Variance, VarianceViews, Withheld } from './parts';
import { varianceReportQuery } from './queries';
import { pathOfFlags } from './flags-asked';
import { reportAskedBy } from './report-asked';
import { ReportChart } from './report-chart';
import styles from './variances.module.css';

const text = words.variances.report;
const tenders = ['coin', 'note', 'cash'] as const;
const groups = ['site', 'machine', 'collector', 'month'] as const;

/** `variances`: shortages and overages by machine, site, collector or month. What is asked for stands in the address. */
export function VarianceReportPage() {
  const { may } = useOperator();
  const [parameters, change] = useAddressParameters();
  if (!may('variance-report.read')) return <Denied title={words.variances.title} />;
  const asked = reportAskedBy(parameters, new Date());
  return (
    <Page title={words.variances.title} lead={words.variances.lead} actions={<VarianceViews />}>
      <Asking asked={asked} onChange={(name, value) => change({ [name]: value })} />
      {asked.to < asked.from ? <Blank title={text.incomplete} /> : <Found key={JSON.stringify(asked)} asked={asked} />}
    </Page>
  );
}

function Asking({ asked, onChange }: { readonly asked: ReportAsked; readonly onChange: (name: string, value: string) => void }) {
  const { api } = useOperator();
  const id = useId();
  const sites = useQuery(everySiteQuery(api));
  // A browser's picker says nothing while a day is half typed.
  const day = (name: string, value: string) => (value === '' ? undefined : onChange(name, value));
  return (
    <div className={styles.asking}>
      <SelectField id={`${id}-by`} label={text.by} value={asked.by} options={groups.map((value) => ({ value, text: text.groups[value] }))} onValue={(value) => onChange('by', value)} />
      <Field id={`${id}-from`} type="date" label={text.from} defaultValue={asked.from} onValue={(value) => day('from', value)} />
      <Field id={`${id}-to`} type="date" label={text.to} defaultValue={asked.to} onValue={(value) => day('to', value)} />
      <SelectField
        id={`${id}-site`} label={text.site} value={asked.siteId ?? ''} none={text.everySite} isLoading={sites.isLoading} onValue={(value) => onChange('site', value)}
        options={(sites.data ?? []).map((site) => ({ value: site.id, text: `${site.name} (${site.code})` }))}
      />
      <SelectField
        id={`${id}-tender`} label={text.tender} value={asked.tender ?? ''} none={text.everyTender} onValue={(value) => onChange('tender', value)}
        options={tenders.map((value) => ({ value, text: value === 'cash' ? text.notToldApart : words.variances.tender[value] }))}
      />
    </div>
  );
}

function Found({ asked }: { readonly asked: ReportAsked }) {
  const { api } = useOperator();
  const question = useQuery(varianceReportQuery(api, asked));
  return (
    <Answer question={question} lines={10}>
      {(report) => (
        <>
          <Withheld sites={report.withheldSites} />
          {report.by === 'collector' && report.rows.length > 0 ? <p className="notice">{text.caution}</p> : null}
          {report.rows.length === 0 ? (
            <Blank title={text.none}>
              <p>{text.noneWhat}</p>
            </Blank>
          ) : (
            <>
              <ReportChart report={report} />
              <ReportTable report={report} asked={asked} />
              {report.hasMore ? <p className="soft">{text.more}</p> : null}
              <Download file={() => api.varianceReportFile(asked)} />
            </>
          )}
        </>
      )}
    </Answer>
  );
}

function ReportTable({ report, asked }: { readonly report: VarianceReport; readonly asked: ReportAsked }) {
  const heads = [text.shortages, text.overages, words.variances.expected, words.variances.counted, text.counts, text.out, text.countersApart, text.flags];
  return (
    <Wide title={words.variances.title}>
      <table>
        <caption className="visually-hidden">{words.variances.title}</caption>
        <thead>
          <tr>
            <th scope="col">{text.groups[report.by]}</th>
            {heads.map((head) => (
              <th key={head} scope="col" className="figure">
                {head}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {report.rows.map((row) => (
            <tr key={`${String(row.several)} ${row.code} ${row.currency}`}>
              <th scope="row">
                <RowName by={report.by} row={row} />
                {row.leftOut === 0 ? null : <div className="soft small">{text.leftOut(row.leftOut)}</div>}
              </th>
              <td className="figure">
                <Variance money={row.shortages} alone />
              </td>
              <td className="figure">
                <Amount money={row.overages} alone />
              </td>
              <td className="figure">
                <Amount money={row.expected} alone />
              </td>
              <td className="figure">
                <Amount money={row.counted} alone />
              </td>
              <td className="figure">{formatCount(row.counts, locale)}</td>
              <td className="figure">{formatCount(row.outOfTolerance, locale)}</td>
              <td className="figure">{formatCount(row.countersApart, locale)}</td>
              <td className="figure"><OpenFlags row={row} asked={asked} /></td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}

function OpenFlags({ row, asked }: { readonly row: VarianceReport['rows'][number]; readonly asked: ReportAsked }) {
  const { may, to } = useOperator();
  const path = row.openFlags === 0 || !may('variance.read') ? null : pathOfFlags(row, asked);
  const shown = formatCount(row.openFlags, locale);
  return path === null ? shown : <Link to={to(path)}>{shown}</Link>;
}

function RowName({ by, row }: { readonly by: VarianceReport['by']; readonly row: VarianceReport['rows'][number] }) {
  const { may, to } = useOperator();
  switch (by) {
    case 'month':
      return <Link to={to(`variances/flags?month=${row.code}`)}>{monthInWords(row.code)}</Link>;
    case 'machine':
      return (
        <>
          <Link to={to(`variances/machines/${row.id ?? ''}`)}>{row.code}</Link> <span className="soft small">{words.machineKind(row.name)}</span>
        </>
      );
    case 'site':
      return (
        <>
          <Link to={to(`sites/${row.id ?? ''}`)}>{row.name}</Link> <span className="code small">{row.code}</span>
        </>
      );
    case 'collector':
      if (row.id === null) return <span className="soft">{row.several ? text.severalCollectors : text.noCollector}</span>;
      return (
        <>
          {may('key-reach.read') ? <Link to={to(`keys/people/${row.id}`)}>{row.name}</Link> : row.name} <span className="code small">{row.code}</span>
        </>
      );
  }
}
