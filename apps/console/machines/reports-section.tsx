import { useQuery } from '@tanstack/react-query';
import { Link } from 'react-router';
import type { Machine } from '../api/shapes';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Answer } from '../parts/answer';
import { TitledTable } from '../parts/titled-table';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { reportsOfQuery } from './queries';

const text = words.machines.reports;

/** What the machine or its payment device said of itself last: what each meter showed, and its doors and faults. */
export function ReportsSection({ machine }: { readonly machine: Machine }) {
  const { api, may, to } = useOperator();
  const question = useQuery(reportsOfQuery(api, machine.id));
  return (
    <section className="section" aria-labelledby="reports">
      <h2 id="reports">{text.title}</h2>
      <Answer question={question} lines={3}>
        {({ readings, events }) => {
          const latest = readings.filter(({ meterId }, index) => readings.findIndex((each) => each.meterId === meterId) === index);
          if (readings.length + events.length === 0) return <p className="soft">{text.none}</p>;
          return (
            <>
              <p className="notice">{text.lead}</p>
              <TitledTable
                id="reported-readings" heading="h3" title={text.readings} none={text.noReadings} columns={[words.machines.meters.meter, words.machines.meters.shows, text.readAt]}
                rows={latest.map(({ meterId, meter, value, readAt }) => (
                  <tr key={meterId}>
                    <th scope="row">{meter}</th>
                    <td>{value}</td>
                    <td>{formatInstant(readAt, locale)}</td>
                  </tr>
                ))}
              />
              <TitledTable
                id="reported-events" heading="h3" title={text.events} none={text.noEvents} columns={[words.machines.meters.when, text.what]}
                rows={events.map(({ kind, fault, happenedAt }) => (
                  <tr key={`${kind} ${fault ?? ''} ${happenedAt}`}>
                    <th scope="row">{formatInstant(happenedAt, locale)}</th>
                    <td>{text.kinds[kind](fault)}</td>
                  </tr>
                ))}
              />
            </>
          );
        }}
      </Answer>
      {may('machine-token.read') ? (
        <p>
          <Link to={to('machines/reports')}>{text.toReports}</Link>
        </p>
      ) : null}
    </section>
  );
}
