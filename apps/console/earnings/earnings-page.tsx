import { queryOptions, useQuery } from '@tanstack/react-query';
import { useId, type ReactNode } from 'react';
import { Link } from 'react-router';
import type { EarningsAsked } from '../api/earnings-api';
import type { OperatorApi } from '../api/operator-api';
import type { Earnings } from '../api/shapes';
import { formatCount } from '../format/count';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
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
import { earningsAskedBy, groups, type Asked, type Group } from './asked';
import { EffectChart } from './effect-chart';
import styles from './earnings.module.css';
import { linesOf, percent, type Line } from './lines';

const text = words.earnings;

const earningsQuery = (api: OperatorApi, asked: EarningsAsked) => queryOptions({ queryKey: ['earnings', asked], queryFn: ({ signal }) => api.earnings(asked, signal) });

/** `earnings`: takings a day by place, cabinet and game, and what might be swapped. What is asked for stands in the address. */
export function EarningsPage() {
  const { may } = useOperator();
  const [parameters, change] = useAddressParameters();
  if (!may('earnings.read')) return <Denied title={text.title} />;
  const asked = earningsAskedBy(parameters, new Date());
  return (
    <Page title={text.title} lead={text.lead}>
      <Asking asked={asked} onChange={(name, value) => change({ [name]: value })} />
      {asked.query === null ? <Blank title={text.incomplete} /> : <Found query={asked.query} by={asked.by} />}
    </Page>
  );
}

function Asking({ asked, onChange }: { readonly asked: Asked; readonly onChange: (name: string, value: string) => void }) {
  const id = useId();
  // A browser's picker says nothing while a day is half typed.
  const day = (name: string, value: string) => (value === '' ? undefined : onChange(name, value));
  return (
    <div className={styles.asking}>
      <SelectField id={`${id}-by`} label={text.by} value={asked.by} options={groups.map((value) => ({ value, text: text.groups[value] }))} onValue={(value) => onChange('by', value)} />
      <Field id={`${id}-from`} type="date" label={text.from} defaultValue={asked.from} onValue={(value) => day('from', value)} />
      <Field id={`${id}-to`} type="date" label={text.to} defaultValue={asked.to} onValue={(value) => day('to', value)} />
    </div>
  );
}

function Found({ query, by }: { readonly query: EarningsAsked; readonly by: Group }) {
  const { api } = useOperator();
  const question = useQuery(earningsQuery(api, query));
  return (
    <Answer question={question} lines={12}>
      {(earnings) => {
        const lines = linesOf(earnings, by);
        return (
          <>
            {earnings.withheldSites === 0 ? null : <p className="notice">{text.withheld(earnings.withheldSites)}</p>}
            {lines.length === 0 ? (
              <Blank title={text.none} />
            ) : (
              <>
                <Table lines={lines} by={by} />
                <p className="soft small">{text.trendWhat}</p>
                {by === 'cabinet' ? null : <p className="soft small">{text.effectWhat}</p>}
                <Download file={() => api.earningsFile(query)} />
                {by === 'cabinet' ? null : <EffectChart title={text.chart(text.groups[by])} lines={lines} />}
                <Swaps earnings={earnings} />
              </>
            )}
          </>
        );
      }}
    </Answer>
  );
}

function Table({ lines, by }: { readonly lines: readonly Line[]; readonly by: Group }) {
  const heads = [text.days, text.takings, text.perDay, text.trend, ...(by === 'cabinet' ? [] : [text.effect])];
  return (
    <Wide title={text.title}>
      <table>
        <caption className="visually-hidden">{text.title}</caption>
        <thead>
          <tr>
            <th scope="col">{text.groups[by]}</th>
            {heads.map((head) => (
              <th key={head} scope="col" className="figure">
                {head}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {lines.map((line) => (
            <tr key={line.id}>
              <th scope="row">
                <Named path={line.path}>{line.name}</Named> <span className="code small">{line.code}</span>
              </th>
              <td className="figure">{formatCount(line.days, locale)}</td>
              <td className="figure">
                <Amount money={line.takings} alone />
              </td>
              <td className="figure">
                <Amount money={line.perDay} alone />
              </td>
              <td className="figure">{line.trendPercent === null ? null : percent(line.trendPercent)}</td>
              {by === 'cabinet' ? null : <td className="figure"><Effect line={line} /></td>}
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}

/** Leads to the page of the thing, where it has one. */
function Named({ path, children }: { readonly path: string | null; readonly children: ReactNode }) {
  const { to } = useOperator();
  return path === null ? children : <Link to={to(path)}>{children}</Link>;
}

function SwapSide({ side: { title, machineId, machineTag, siteId, siteName } }: { readonly side: Earnings['swaps'][number]['first'] }) {
  return (
    <>
      {title}
      <div className="small">
        <Named path={`machines/${machineId}`}>{machineTag}</Named>, <Named path={`sites/${siteId}`}>{siteName}</Named>
      </div>
    </>
  );
}

function Effect({ line: { effect } }: { readonly line: Line }) {
  if (effect === null) return <span className="soft">{text.effectUnknown}</span>;
  return (
    <>
      {percent(effect.percent)}
      <div className="soft small">{text.effectRange(percent(effect.least), percent(effect.most))}</div>
    </>
  );
}

function Swaps({ earnings: { swaps, model, leftOut } }: { readonly earnings: Earnings }) {
  const say = text.swaps;
  return (
    <section className="section" aria-labelledby="swaps">
      <h2 id="swaps">{say.title}</h2>
      <p className="soft">{say.lead}</p>
      {swaps.length === 0 ? (
        <p>{say.none}</p>
      ) : (
        <Wide title={say.title}>
          <table>
            <caption className="visually-hidden">{say.title}</caption>
            <thead>
              <tr>
                <th scope="col">{say.first}</th>
                <th scope="col">{say.second}</th>
                <th scope="col" className="figure">
                  {say.gain}
                </th>
              </tr>
            </thead>
            <tbody>
              {swaps.map(({ first, second, gainPerDay, least, most }) => (
                <tr key={first.machineId}>
                  <th scope="row">
                    <SwapSide side={first} />
                  </th>
                  <td>
                    <SwapSide side={second} />
                  </td>
                  <td className="figure">
                    <Amount money={gainPerDay} alone />
                    <div className="soft small">{say.range(formatMoney(least, locale), formatMoney(most, locale))}</div>
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </Wide>
      )}
      <h3>{text.model}</h3>
      <p className="soft">{model}</p>
      {leftOut.changed === 0 ? null : <p className="soft">{text.changed(leftOut.changed)}</p>}
      {leftOut.otherCurrencies === 0 ? null : <p className="soft">{text.otherCurrencies(leftOut.otherCurrencies)}</p>}
    </section>
  );
}
