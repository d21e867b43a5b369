import { useInfiniteQuery, useQuery } from '@tanstack/react-query';
import { useId } from 'react';
import { Link, useSearchParams } from 'react-router';
import type { VarianceFlag } from '../api/shapes';
import type { FlagsAsked } from '../api/variances-api';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Field } from '../parts/field';
import { More } from '../parts/more';
import { Page } from '../parts/page';
import { SelectField } from '../parts/select-field';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { isMonth, lastMonth } from '../tax/month';
import { words } from '../words/words';
import { Day, reasonsAlone, Variance, VarianceViews, Withheld } from './parts';
import { varianceFlagsQuery, varianceMonthQuery } from './queries';

const text = words.variances.flags;

/** `variances/flags`: all that is still to be explained, whenever it was; or every flag of a month. */
export function FlagsPage() {
  const { may } = useOperator();
  const [parameters, setParameters] = useSearchParams();
  const id = useId();
  if (!may('variance.read')) return <Denied title={words.variances.title} />;
  const asked = parameters.get('month') ?? '';
  const month = isMonth(asked) ? asked : null;
  const choose = (value: string | null) => setParameters(value === null ? {} : { month: value }, { replace: true });
  return (
    <Page title={words.variances.title} lead={words.variances.lead} actions={<VarianceViews />}>
      <div className="form">
        <SelectField
          id={`${id}-which`} label={text.which} value={month === null ? 'open' : 'month'} options={[{ value: 'open', text: text.everyOpen }, { value: 'month', text: text.ofMonth }]}
          onValue={(value) => choose(value === 'month' ? lastMonth(new Date()) : null)}
        />
        {/* A browser's picker says nothing while a month is half typed. */}
        {month === null ? null : <Field id={id} type="month" label={text.month} defaultValue={month} onValue={(value) => (isMonth(value) ? choose(value) : undefined)} />}
      </div>
      {month === null ? <Open key={parameters.get('site')} siteId={parameters.get('site')} /> : <OfMonth key={month} month={month} />}
    </Page>
  );
}

function Open({ siteId }: { readonly siteId: string | null }) {
  const { api, to } = useOperator();
  // Which sites are withheld goes by who counts now, not by the month.
  const { data } = useQuery(varianceMonthQuery(api, lastMonth(new Date())));
  return (
    <>
      <Withheld sites={data?.withheldSites ?? 0} />
      <Flags asked={{ state: 'open', ...(siteId === null ? {} : { siteId }) }} none={text.noneOpen} />
      {siteId === null ? null : (
        <p>
          <Link to={to('variances/flags')}>{text.ofAllSites}</Link>
        </p>
      )}
    </>
  );
}

function OfMonth({ month }: { readonly month: string }) {
  const { api } = useOperator();
  const question = useQuery(varianceMonthQuery(api, month));
  return (
    <Answer question={question} lines={8}>
      {(answer) => (
        <>
          <Withheld sites={answer.withheldSites} />
          {answer.flags.length === 0 ? (
            <Blank title={text.none} />
          ) : (
            <>
              <p>{text.summary(answer.openFlags, answer.explainedFlags)}</p>
              <Flags asked={daysOf(month)} none={text.none} />
            </>
          )}
        </>
      )}
    </Answer>
  );
}

function daysOf(month: string): FlagsAsked {
  const [year = 0, number = 0] = month.split('-').map(Number);
  return { from: `${month}-01`, before: new Date(Date.UTC(year, number, 1)).toISOString().slice(0, 10) };
}

function Flags({ asked, none }: { readonly asked: FlagsAsked; readonly none: string }) {
  const { api } = useOperator();
  const question = useInfiniteQuery(varianceFlagsQuery(api, asked));
  return (
    <>
      <Answer question={{ ...question, data: question.data?.pages.flatMap(({ items }) => items) }} lines={8}>
        {(flags) => (flags.length === 0 ? <Blank title={none} /> : <FlagTable flags={flags} />)}
      </Answer>
      <More question={question} />
    </>
  );
}

function FlagTable({ flags }: { readonly flags: readonly VarianceFlag[] }) {
  const { to } = useOperator();
  return (
    <Wide title={text.view}>
      <table>
        <caption className="visually-hidden">{text.view}</caption>
        <thead>
          <tr>
            <th scope="col">{words.variances.machine}</th>
            <th scope="col">{words.variances.day}</th>
            <th scope="col" className="figure">
              {words.variances.difference}
            </th>
            <th scope="col">{text.why}</th>
            <th scope="col">{words.state}</th>
          </tr>
        </thead>
        <tbody>
          {flags.map((flag) => (
            <tr key={flag.id}>
              <th scope="row">
                <Link to={to(`variances/flags/${flag.id}`)}>{flag.machineTag}</Link> <span className="code small">{flag.siteCode}</span>
              </th>
              <td>
                <Day day={flag.localDate} />
              </td>
              <td className="figure">
                {flag.figures.map(({ tender, variance }) => (
                  <div key={tender}>
                    <span className="soft small">{words.variances.tender[tender]}</span> <Variance money={variance} alone />
                  </div>
                ))}
              </td>
              <td>{reasonsAlone(flag.reasons)}</td>
              <td>
                <span className={flag.state === 'open' ? 'state state-alarm' : 'state'}>{text.state[flag.state]}</span>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
