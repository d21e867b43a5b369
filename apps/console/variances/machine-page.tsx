import { useQuery } from '@tanstack/react-query';
import { useParams } from 'react-router';
import type { VarianceChart } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { Amount } from '../parts/amount';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { ControlChart } from './control-chart';
import { Day, Expected, reasonsOf, Variance, VarianceViews } from './parts';
import { varianceChartQuery } from './queries';

const text = words.variances.machineChart;
const tenders = ['coin', 'note', 'cash'] as const;

const few = (value: number): string => new Intl.NumberFormat(locale, { maximumFractionDigits: 2 }).format(value);
const whole = (value: number): string => new Intl.NumberFormat(locale, { maximumFractionDigits: value < 20 ? 1 : 0 }).format(value);

/** `variances/machines/:id`: both charts of a machine with their limits, and the figures that they are drawn from. */
export function MachineVariancesPage() {
  const { machineId = '' } = useParams();
  const { api, may } = useOperator();
  const allowed = may('variance.read');
  const question = useQuery({ ...varianceChartQuery(api, machineId), enabled: allowed });
  if (!allowed) return <Denied title={text.titlePlain} />;
  return (
    <Page title={question.data === undefined ? text.titlePlain : text.title(question.data.machineTag)} actions={<VarianceViews />}>
      <Answer question={question} lines={12}>
        {(chart) => (chart.points.length === 0 ? <Blank title={text.none} /> : <Charts chart={chart} />)}
      </Answer>
    </Page>
  );
}

function Charts({ chart }: { readonly chart: VarianceChart }) {
  const { sum, average } = chart;
  const change = chart.points.find(({ tender }, index) => index > 0 && (tender === 'cash') !== (chart.points[0]?.tender === 'cash'));
  return (
    <>
      {change === undefined ? null : <p className="notice">{text.together(formatDay(change.localDate, locale))}</p>}
      {tenders.map((tender) => {
        const points = chart.points.filter((point) => point.tender === tender);
        return points.length === 0 ? null : <TenderCharts key={tender} tender={tender} points={points} decision={sum.decision} />;
      })}
      <section className="section">
        <p className="soft">
          {text.sumSays({ reference: few(sum.reference), decision: few(sum.decision), every: whole(sum.falseAlarmEvery), finds: whole(sum.findsOneSigmaAfter) })}
        </p>
        <p className="soft">
          {text.averageSays({ weight: few(average.weight), width: few(average.width), every: whole(average.falseAlarmEvery), finds: whole(average.findsOneSigmaAfter) })}
        </p>
      </section>
    </>
  );
}

type Points = VarianceChart['points'];

function TenderCharts({ tender, points, decision }: { readonly tender: (typeof tenders)[number]; readonly points: Points; readonly decision: number }) {
  const name = words.variances.tender[tender];
  const drawn = (pick: (point: Points[number]) => { value: number; limit: number; signals: boolean }) =>
    points.map((point) => ({ key: `${point.collectionId} ${point.tender}`, day: point.localDate, ...pick(point) }));
  return (
    <section className="section" aria-labelledby={`tender-${tender}`}>
      <h2 id={`tender-${tender}`}>{name}</h2>
      <h3>{text.sum}</h3>
      <ControlChart
        title={text.picture(text.sum, name)} twoSided={false}
        points={drawn(({ sum, signals }) => ({ value: sum, limit: decision, signals: signals.includes('steady-shortage') }))}
      />
      <h3>{text.average}</h3>
      <ControlChart
        title={text.picture(text.average, name)} twoSided
        points={drawn(({ average, averageLimit, signals }) => ({ value: average, limit: averageLimit, signals: signals.includes('moving-average') }))}
      />
      <details className="folded">
        <summary>
          <h3>{`${text.figures}: ${name}`}</h3>
        </summary>
        <Figures caption={`${text.figures}: ${name}`} points={[...points].reverse()} />
      </details>
    </section>
  );
}

function Figures({ caption, points }: { readonly caption: string; readonly points: Points }) {
  const say = words.variances;
  const heads = [say.expected, say.counted, say.difference, text.sigmas, text.sumColumn, text.averageColumn];
  return (
    <Wide title={caption}>
      <table>
        <caption className="visually-hidden">{caption}</caption>
        <thead>
          <tr>
            <th scope="col">{say.day}</th>
            {heads.map((head) => (
              <th key={head} scope="col" className="figure">
                {head}
              </th>
            ))}
            <th scope="col">{text.signals}</th>
          </tr>
        </thead>
        <tbody>
          {points.map((point) => (
            <tr key={`${point.collectionId} ${point.tender}`}>
              <th scope="row">
                <Day day={point.localDate} />
              </th>
              <td className="figure">
                <Expected figure={point} />
              </td>
              <td className="figure">
                <Amount money={point.counted} />
              </td>
              <td className="figure">
                <Variance money={point.variance} />
              </td>
              <td className="figure">{point.sigmas === null ? <span className="soft">{point.leftOut ? text.leftOut : text.notYet}</span> : few(point.sigmas)}</td>
              <td className="figure">{few(point.sum)}</td>
              <td className="figure">{`${few(point.average)} (${few(point.averageLimit)})`}</td>
              <td>{[...(point.outOfTolerance ? [text.out] : []), ...(point.signals.length === 0 ? [] : [reasonsOf(point.signals)])].join(', ')}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
