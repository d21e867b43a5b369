import { useInfiniteQuery, useQuery } from '@tanstack/react-query';
import { useId } from 'react';
import { Link, useSearchParams } from 'react-router';
import type { VarianceFlag } from '../api/shapes';
import type { FlagsAsked } from '../api/variances-api';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { peopleQuery } from '../keys/queries';
import { machineQuery } from '../machines/queries';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Field } from '../parts/field';
import { More } from '../parts/more';
import { Page } from '../parts/page';
import { SelectField } from '../parts/select-field';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { siteQuery } from '../sites/queries';
import { useSiteNames } from '../sites/site-names';
import { isMonth, lastMonth } from '../tax/month';
import { words } from '../words/words';
import { dayAfter, daysAskedBy, daysOfMonth, type DaysAsked } from './flags-asked';
import { NoTolerance } from './no-tolerance';
import { Day, reasonsAlone, Variance, VarianceViews, Withheld } from './parts';
import { varianceFlagsQuery, varianceMonthQuery } from './queries';

const text = words.variances.flags;

/** `variances/flags`: all that is still to be explained, whenever it was; or every flag of a month. With `site` those of one site; with days, and a machine or collector, those that a row of the report counts. */
export function FlagsPage() {
  const { may } = useOperator();
  const [parameters, setParameters] = useSearchParams();
  const id = useId();
  if (!may('variance.read')) return <Denied title={words.variances.title} />;
  const asked = parameters.get('month') ?? '';
  const month = isMonth(asked) ? asked : null;
  const siteId = parameters.get('site');
  const days = month === null ? daysAskedBy(parameters) : null;
  const choose = (value: string | null) => setParameters({ ...(value === null ? {} : { month: value }), ...(siteId === null ? {} : { site: siteId }) }, { replace: true });
  return (
    <Page title={words.variances.title} lead={words.variances.lead} actions={<VarianceViews />}>
      <div className="form">
        <SelectField
          id={`${id}-which`} label={text.which} value={month !== null ? 'month' : days === null ? 'open' : 'days'}
          options={[{ value: 'open', text: text.everyOpen }, ...(days === null ? [] : [{ value: 'days', text: text.openOfDays(formatDay(days.from, locale), formatDay(days.to, locale)) }]), { value: 'month', text: text.ofMonth }]}
          onValue={(value) => choose(value === 'month' ? lastMonth(new Date()) : null)}
        />
        {/* A browser's picker says nothing while a month is half typed. */}
        {month === null ? null : <Field id={id} type="month" label={text.month} defaultValue={month} onValue={(value) => (isMonth(value) ? choose(value) : undefined)} />}
      </div>
      <NoTolerance />
      {days === null ? null : <Whose days={days} />}
      {siteId === null ? <Shown month={month} days={days} site={null} /> : <OfSite key={siteId} siteId={siteId} month={month} days={days} />}
    </Page>
  );
}

interface Site {
  readonly id: string;
  readonly name: string;
}

interface ShownProps {
  /** Null for all that are not explained. */
  readonly month: string | null;
  /** Those of them that are looked for; null for all. */
  readonly days: DaysAsked | null;
  /** Null for all sites. */
  readonly site: Site | null;
}

function Shown({ month, days, site }: ShownProps) {
  return month === null ? <Open days={days} site={site} /> : <OfMonth key={month} month={month} site={site} />;
}

/** Flags of one site, under its name, with the way to those of all. */
function OfSite({ siteId, month, days }: { readonly siteId: string } & Pick<ShownProps, 'month' | 'days'>) {
  const { api, to } = useOperator();
  const question = useQuery(siteQuery(api, siteId));
  return (
    <Answer question={question} lines={8}>
      {(site) => (
        <>
          <p>
            {text.ofSite(site.name)} <Link to={to(month === null ? 'variances/flags' : `variances/flags?month=${month}`)}>{text.ofAllSites}</Link>
          </p>
          <Shown month={month} days={days} site={site} />
        </>
      )}
    </Answer>
  );
}

/** Of which machine or collector, where the flags of one are looked for. */
function Whose({ days: { machineId = '', collectorId = '' } }: { readonly days: DaysAsked }) {
  const { api, to } = useOperator();
  const machine = useQuery({ ...machineQuery(api, machineId), enabled: machineId !== '' }).data;
  const collector = useQuery({ ...peopleQuery(api), enabled: collectorId !== '' }).data?.find(({ id }) => id === collectorId);
  if (machine === undefined && collector === undefined) return null;
  return (
    <>
      <p>
        {text.ofSite(machine?.tag ?? collector?.name ?? '')} <Link to={to('variances/flags')}>{text.everyOpen}</Link>
      </p>
      {collector === undefined ? null : <p className="notice">{words.variances.report.caution} {text.ofSeveral}</p>}
    </>
  );
}

const of = (days: DaysAsked | null): FlagsAsked => {
  if (days === null) return {};
  const { from, to, ...whose } = days;
  return { from, before: dayAfter(to), ...whose };
};

const atSite = (site: Site | null) => (site === null ? {} : { siteId: site.id });

function Open({ site, days }: Pick<ShownProps, 'site' | 'days'>) {
  const { api } = useOperator();
  // Which sites are withheld goes by who counts now, not by the month.
  const { data } = useQuery(varianceMonthQuery(api, { month: lastMonth(new Date()), ...atSite(site) }));
  return (
    <>
      <Withheld sites={data?.withheldSites ?? 0} />
      <Flags asked={{ state: 'open', ...atSite(site), ...of(days) }} none={days !== null ? text.noneOpenOfThese : site === null ? text.noneOpen : text.noneOpenAt(site.name)} />
    </>
  );
}

function OfMonth({ month, site }: { readonly month: string; readonly site: Site | null }) {
  const { api } = useOperator();
  const question = useQuery(varianceMonthQuery(api, { month, ...atSite(site) }));
  const none = site === null ? text.none : text.noneAt(site.name);
  return (
    <Answer question={question} lines={8}>
      {(answer) => (
        <>
          <Withheld sites={answer.withheldSites} />
          {answer.flags.length === 0 ? (
            <Blank title={none} />
          ) : (
            <>
              <p>{text.summary(answer.openFlags, answer.explainedFlags)}</p>
              <Flags asked={{ ...of(daysOfMonth(month)), ...atSite(site) }} none={none} />
            </>
          )}
        </>
      )}
    </Answer>
  );
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
  const siteNamed = useSiteNames();
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
                <Link to={to(`variances/flags/${flag.id}`)}>{flag.machineTag}</Link> <span className="soft small">{siteNamed(flag.siteCode)}</span>
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
