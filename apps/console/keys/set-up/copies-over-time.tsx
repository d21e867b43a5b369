import { useQueries } from '@tanstack/react-query';
import type { KeyCode, KeyCopy } from '../../api/shapes';
import { Waiting } from '../../parts/answer';
import { TroubleNotice } from '../../parts/trouble';
import { Wide } from '../../parts/wide';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { CopiesChart } from '../custody-chart';
import { copyLanesOf } from '../custody-lanes';
import { CopyLink, Moment, Whereabouts } from '../parts';
import { historyQuery } from '../queries';

const text = words.keys.copy.chart;

/** As many as a picture can be read of. */
const most = 12;

/** Who had the copies of a cut since each was made: as a picture, and below it the same in words, the latest first. */
export function CopiesOverTime({ code, copies }: { readonly code: KeyCode; readonly copies: readonly KeyCopy[] }) {
  const { api } = useOperator();
  const shown = copies.slice(0, most);
  const questions = useQueries({ queries: shown.map(({ id }) => historyQuery(api, id, undefined)) });
  const histories = questions.flatMap(({ data }) => (data === undefined ? [] : [data]));
  const failed = questions.find(({ isError }) => isError);
  if (shown.length === 0) return null;
  if (failed !== undefined) return <TroubleNotice error={failed.error} onRetry={() => void failed.refetch()} />;
  if (histories.length < shown.length) return <Waiting lines={4} />;
  const end = Math.max(...histories.map(({ knownAt }) => Date.parse(knownAt)));
  const stays = histories.flatMap(({ keyCopyId, number, stays: ofCopy }) => ofCopy.map((stay) => ({ keyCopyId, number, stay }))).toSorted((one, other) => other.stay.from.localeCompare(one.stay.from));
  return (
    <section className="section" aria-labelledby="over-time">
      <h2 id="over-time">{text.copies}</h2>
      {copies.length > most ? <p className="soft">{text.copiesFirst(most, copies.length)}</p> : null}
      <CopiesChart lanes={copyLanesOf(histories, end)} code={code.code} />
      <details>
        <summary>{text.asTable}</summary>
        <Wide title={text.copies}>
          <table>
            <caption className="visually-hidden">{text.copies}</caption>
            <thead>
              <tr>
                <th scope="col">{words.keys.number}</th>
                <th scope="col">{words.keys.with}</th>
                <th scope="col">{words.keys.since}</th>
                <th scope="col">{words.keys.until}</th>
              </tr>
            </thead>
            <tbody>
              {stays.map(({ keyCopyId, number, stay }) => (
                <tr key={`${keyCopyId} ${stay.from}`}>
                  <th scope="row">
                    <CopyLink id={keyCopyId} number={number} />
                  </th>
                  <td>
                    <Whereabouts where={{ state: stay.state, holder: stay.holder, since: stay.from, dueBackAt: stay.dueBackAt }} />
                  </td>
                  <td>
                    <Moment instant={stay.from} />
                  </td>
                  <td>{stay.to === null ? words.keys.still : <Moment instant={stay.to} />}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </Wide>
      </details>
    </section>
  );
}
