import { Fragment } from 'react';
import type { PersonKeys } from '../api/shapes';
import { Blank } from '../parts/answer';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { bySite } from './opened';
import { Code, CopyLink, Moment, OutsideCopies, Whereabouts } from './parts';
import { RecordButton } from './record/record-button';
import styles from './keys.module.css';

interface KeysAtHandProps {
  readonly keys: PersonKeys;
  /** Keys are as they are now, so that something can be recorded of them. */
  readonly now?: boolean;
}

/** Copies that a person has at hand, and what they open. */
export function KeysAtHand({ keys, now = false }: KeysAtHandProps) {
  const { copies, stores, opens } = keys;
  // Who has no key is not told that it fits nothing.
  const holdsNothing = copies.length === 0 && stores.length === 0 && opens.length === 0;
  return (
    <>
      <OutsideCopies codes={copies.filter(({ outsideCopies }) => outsideCopies).map(({ code }) => code)} />
      <section className="section" aria-labelledby="copies">
        <h2 id="copies">{words.keys.person.copies}</h2>
        {copies.length === 0 ? <Blank title={words.keys.person.noCopies} /> : <Copies copies={copies} now={now} />}
      </section>
      {stores.length === 0 ? null : (
        <section className="section" aria-labelledby="stores">
          <h2 id="stores">{words.keys.person.stores}</h2>
          <ul className="stack">
            {stores.map(({ store, copies: inStore }) => (
              <li key={store.id}>{words.keys.person.inStore(store.name, inStore)}</li>
            ))}
          </ul>
        </section>
      )}
      {holdsNothing ? null : (
        <section className="section" aria-labelledby="opens">
          <h2 id="opens">{words.keys.person.opens}</h2>
          {opens.length === 0 ? <Blank title={words.keys.person.opensNothing} /> : <Opened opens={opens} />}
        </section>
      )}
    </>
  );
}

function Copies({ copies, now }: Pick<PersonKeys, 'copies'> & { readonly now: boolean }) {
  const { may } = useOperator();
  const records = now && may('custody-event.record');
  return (
    <Wide title={words.keys.person.copies}>
      <table>
        <caption className="visually-hidden">{words.keys.person.copies}</caption>
        <thead>
          <tr>
            <th scope="col">{words.keys.number}</th>
            <th scope="col">{words.keys.code}</th>
            <th scope="col">{words.keys.with}</th>
            <th scope="col">{words.keys.since}</th>
            <th scope="col">{words.keys.dueBack}</th>
            {records ? <th scope="col">{words.commands}</th> : null}
          </tr>
        </thead>
        <tbody>
          {copies.map(({ keyCopyId, number, code, class: kind, via, where }) => (
            <tr key={`${keyCopyId} ${via}`}>
              <th scope="row">
                <CopyLink id={keyCopyId} number={number} />
              </th>
              <td>
                <Code code={code} kind={kind} />
              </td>
              <td>
                {via === 'holds' ? null : <Whereabouts where={where} />} <span className="soft small">{words.keys.person.via[via]}</span>
              </td>
              <td>
                <Moment instant={where.since} />
              </td>
              <td>{where.dueBackAt === null ? null : <Moment instant={where.dueBackAt} />}</td>
              {records ? (
                <td>
                  <RecordButton copy={{ keyCopyId, number, class: kind, where }} />
                </td>
              ) : null}
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}

export function Opened({ opens }: Pick<PersonKeys, 'opens'>) {
  return (
    <Wide title={words.keys.person.opens}>
      <table>
        <caption className="visually-hidden">{words.keys.person.opens}</caption>
        <thead>
          <tr>
            <th scope="col">{words.site}</th>
            <th scope="col">{words.keys.attention.machines}</th>
            <th scope="col">{words.keys.lock}</th>
            <th scope="col">{words.keys.person.copyNumbers}</th>
          </tr>
        </thead>
        <tbody>
          {bySite(opens).map(({ siteName, siteCode, opens: behind, numbers, machineTags }) => (
            <tr key={`${siteCode ?? ''} ${behind} ${numbers.join(' ')}`}>
              <th scope="row">{siteName === null ? <span className="soft">{words.keys.noSite}</span> : <>{siteName} <span className="code small">{siteCode}</span></>}</th>
              <td className={styles.tags}>
                {machineTags.map((tag, place) => (
                  <Fragment key={tag}>
                    <span>{place === machineTags.length - 1 ? tag : `${tag},`}</span>{' '}
                  </Fragment>
                ))}
              </td>
              <td>{words.keys.place[behind]}</td>
              <td>{numbers.join(', ')}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
