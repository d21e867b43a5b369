import { useQuery } from '@tanstack/react-query';
import { Link } from 'react-router';
import { Answer } from '../../parts/answer';
import { Download } from '../../parts/download';
import { Wide } from '../../parts/wide';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { Moment } from '../parts';
import { scheduleQuery } from './queries';

const text = words.keyInventories;

/** Locks that have been on their machines for more than twelve months. */
export function OldLocks() {
  const { api, to } = useOperator();
  const question = useQuery(scheduleQuery(api));
  return (
    <section className="section" aria-labelledby="old-locks">
      <h2 id="old-locks">{text.oldLocks}</h2>
      <Answer question={question} lines={4}>
        {({ oldLocks }) =>
          oldLocks.length === 0 ? <p className="soft">{text.noOldLocks}</p> : (
            <>
              <Wide title={text.oldLocks}>
                <table>
                  <caption className="visually-hidden">{text.oldLocks}</caption>
                  <thead>
                    <tr>
                      <th scope="col">{words.machine}</th>
                      <th scope="col">{words.keys.lock}</th>
                      <th scope="col">{words.keys.code}</th>
                      <th scope="col">{text.fitted}</th>
                    </tr>
                  </thead>
                  <tbody>
                    {oldLocks.map((lock) => (
                      <tr key={lock.lockId}>
                        <th scope="row">{lock.machineTag}</th>
                        <td>{words.keys.place[lock.opens]}</td>
                        <td>
                          <Link to={to(`keys/codes/${lock.keyCodeId}`)}>{lock.code}</Link>
                        </td>
                        <td>
                          <Moment instant={lock.fittedAt} />
                        </td>
                      </tr>
                    ))}
                  </tbody>
                </table>
              </Wide>
              <Download text={text.scheduleFile} file={api.keyInventoryScheduleFile} />
            </>
          )
        }
      </Answer>
    </section>
  );
}
