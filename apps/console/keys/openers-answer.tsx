import { useQuery } from '@tanstack/react-query';
import { Link } from 'react-router';
import type { OpenersAsked } from '../api/keys-api';
import type { Openers } from '../api/shapes';
import { formatDay, formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Answer, Blank } from '../parts/answer';
import { Download } from '../parts/download';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { CopyLink, Moment, OutsideCopies } from './parts';
import { openersQuery } from './queries';
import styles from './keys.module.css';

const text = words.keys.openers;

/** Who could open it, and why each is listed. */
export function OpenersAnswer({ asked }: { readonly asked: OpenersAsked }) {
  const { api } = useOperator();
  const question = useQuery(openersQuery(api, asked));
  return (
    <Answer question={question} lines={8}>
      {(answer) => (
        <>
          <OpenersFound answer={answer} />
          <Download file={() => api.openersFile(asked)} />
        </>
      )}
    </Answer>
  );
}

/** People and loose copies that an answer found, and what it goes by. */
export function OpenersFound({ answer }: { readonly answer: Openers }) {
  return (
    <>
      <OutsideCopies codes={answer.locks.filter(({ outsideCopies }) => outsideCopies).map(({ code }) => code)} />
      <section className="section" aria-labelledby="openers">
        <h2 id="openers">{text.people}</h2>
        {answer.people.length === 0 ? <Blank title={answer.locks.length === 0 ? text.noLocks : text.nobody} /> : <People people={answer.people} />}
      </section>
      {answer.loose.length === 0 ? null : <Loose loose={answer.loose} />}
      <Around answer={answer} />
    </>
  );
}

function People({ people }: Pick<Openers, 'people'>) {
  const { to } = useOperator();
  return (
    <Wide title={text.people}>
      <table>
        <caption className="visually-hidden">{text.people}</caption>
        <thead>
          <tr>
            <th scope="col">{text.person}</th>
            <th scope="col">{text.why}</th>
          </tr>
        </thead>
        <tbody>
          {people.map(({ person, everyLock, reasons }) => (
            <tr key={person.personId}>
              <th scope="row">
                <Link to={to(`keys/people/${person.personId}`)}>{person.name}</Link> <span className="code small">{person.code}</span>
                {person.siteCode === null ? null : <div className="soft small">{text.ofSite(person.siteCode)}</div>}
                {everyLock ? null : <div className="soft small">{text.notEveryLock}</div>}
              </th>
              <td>
                <ul className={styles.reasons}>
                  {reasons.map((reason) => (
                    <li key={`${reason.keyCopyId} ${reason.lockId} ${reason.via} ${reason.from}`}>
                      {text.reason({
                        number: reason.number,
                        lock: reason.place,
                        via: text.via[reason.via](reason.holder.name),
                        from: formatInstant(reason.from, locale),
                        to: reason.to === null ? null : formatInstant(reason.to, locale),
                      })}
                    </li>
                  ))}
                </ul>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}

function Loose({ loose }: Pick<Openers, 'loose'>) {
  return (
    <section className="section" aria-labelledby="loose">
      <h2 id="loose">{text.loose}</h2>
      <Wide title={text.loose}>
        <table>
          <caption className="visually-hidden">{text.loose}</caption>
          <thead>
            <tr>
              <th scope="col">{words.keys.number}</th>
              <th scope="col">{words.state}</th>
              <th scope="col">{words.keys.since}</th>
              <th scope="col">{words.keys.until}</th>
            </tr>
          </thead>
          <tbody>
            {loose.map((each) => (
              <tr key={`${each.keyCopyId} ${each.lockId} ${each.from}`}>
                <th scope="row">
                  <CopyLink id={each.keyCopyId} number={each.number} />
                </th>
                <td>{each.holder === null ? text.missing : text.noCustodian(each.holder.name)}</td>
                <td>
                  <Moment instant={each.from} />
                </td>
                <td>{each.to === null ? words.keys.still : <Moment instant={each.to} />}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </section>
  );
}

/** Where the machine stood and which locks it had: what the answer goes by. */
function Around({ answer }: { readonly answer: Openers }) {
  return (
    <section className="section" aria-labelledby="around">
      <h2 id="around">{text.where}</h2>
      {answer.sites.length === 0 ? <p>{text.nowhere}</p> : null}
      <ul>
        {answer.sites.map((site) => (
          <li key={`${site.siteId} ${site.placedOn}`}>
            {text.stood({ site: site.siteName, from: formatDay(site.placedOn, locale), to: site.removedOn === null ? null : formatDay(site.removedOn, locale) })}
          </li>
        ))}
      </ul>
      {answer.locks.length === 0 ? null : (
        <Wide title={text.locks}>
          <table>
            <caption>{text.locks}</caption>
            <thead>
              <tr>
                <th scope="col">{words.keys.lock}</th>
                <th scope="col">{words.keys.code}</th>
                <th scope="col">{words.keys.since}</th>
                <th scope="col">{words.keys.until}</th>
              </tr>
            </thead>
            <tbody>
              {answer.locks.map((lock) => (
                <tr key={lock.lockId}>
                  <th scope="row">
                    {words.keys.place[lock.opens]} {lock.place === lock.opens ? null : <span className="soft small">{lock.place}</span>}
                  </th>
                  <td>{lock.code}</td>
                  <td>
                    <Moment instant={lock.fittedAt} />
                  </td>
                  <td>{lock.removedAt === null ? words.keys.still : <Moment instant={lock.removedAt} />}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </Wide>
      )}
    </section>
  );
}
