import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link, useParams } from 'react-router';
import type { KeyCode, KeyCopy } from '../../api/shapes';
import { formatCount } from '../../format/count';
import { locale } from '../../format/locale';
import { Answer, Blank } from '../../parts/answer';
import { Denied } from '../../parts/denied';
import { Page } from '../../parts/page';
import { Wide } from '../../parts/wide';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { CopyLink, Moment, Whereabouts } from '../parts';
import { ChangeCode } from './code-forms';
import { CopiesOverTime } from './copies-over-time';
import { DestroyCopy, MakeCopies } from './copy-forms';
import { OpenButton, SetUpViews } from './parts';
import { copiesOfCodeQuery, keyCodeQuery, keySitesQuery } from './queries';
import styles from './set-up.module.css';

const text = words.keySetUp.code;

/** `keys/codes/:id`: one cut with its copies and where its locks are. */
export function KeyCodePage() {
  const { codeId = '' } = useParams();
  const { api, may } = useOperator();
  const [isChanging, setChanging] = useState(false);
  const allowed = may('key-code.read');
  const question = useQuery({ ...keyCodeQuery(api, codeId), enabled: allowed });
  if (!allowed) return <Denied title={words.keySetUp.codes.title} />;
  const code = question.data;
  const lead = code === undefined ? undefined : text.lead({ kind: words.keySetUp.codes.kinds[code.class], locks: code.locks, copies: code.copies });
  return (
    <Page title={code === undefined ? words.keySetUp.codes.title : text.title(code.code)} lead={lead} actions={<SetUpViews />}>
      <Answer question={question} lines={8}>
        {(found) => (
          <>
            {found.outsideCopies ? <p className="notice">{text.outsideNotice}</p> : null}
            {may('key-code.change') ? (
              <div>
                <OpenButton about={found.code} onClick={() => setChanging(true)}>{text.change}</OpenButton>
              </div>
            ) : null}
            <Copies code={found} />
            <Locks code={found} />
            <OverTime code={found} />
            {isChanging ? <ChangeCode code={found} onClose={() => setChanging(false)} /> : null}
          </>
        )}
      </Answer>
    </Page>
  );
}

interface OfCode {
  readonly code: KeyCode;
}

function Copies({ code }: OfCode) {
  const { api, may } = useOperator();
  const [isMaking, setMaking] = useState(false);
  const [destroyed, setDestroyed] = useState<KeyCopy | null>(null);
  const question = useQuery(copiesOfCodeQuery(api, code.id));
  const make = may('key-copy.make') ? <OpenButton main onClick={() => setMaking(true)}>{text.make}</OpenButton> : null;
  return (
    <section className="section" aria-labelledby="copies">
      <h2 id="copies">{text.copies}</h2>
      <Answer question={question} lines={5}>
        {(copies) => (
          <>
            {copies.length === 0 ? (
              <Blank title={text.noCopies}>
                <p>{text.noCopiesWhat}</p>
                {make}
              </Blank>
            ) : (
              <>
                <CopyTable copies={copies} onDestroy={may('custody-event.record') ? setDestroyed : null} />
                <div>{make}</div>
              </>
            )}
            {isMaking ? <MakeCopies code={code} copies={copies} onClose={() => setMaking(false)} /> : null}
          </>
        )}
      </Answer>
      {destroyed === null ? null : <DestroyCopy copy={destroyed} onClose={() => setDestroyed(null)} />}
    </section>
  );
}

/** For whoever may see where keys were. */
function OverTime({ code }: OfCode) {
  const { api, may } = useOperator();
  const allowed = may('key-reach.read') && may('key-copy.read');
  const { data: copies = [] } = useQuery({ ...copiesOfCodeQuery(api, code.id), enabled: allowed });
  return allowed ? <CopiesOverTime code={code} copies={copies} /> : null;
}

function CopyTable({ copies, onDestroy }: { readonly copies: readonly KeyCopy[]; readonly onDestroy: ((copy: KeyCopy) => void) | null }) {
  return (
    <Wide title={text.copies}>
      <table>
        <caption className="visually-hidden">{text.copies}</caption>
        <thead>
          <tr>
            <th scope="col">{words.keys.number}</th>
            <th scope="col">{words.keys.with}</th>
            <th scope="col">{words.keys.since}</th>
            {onDestroy === null ? null : (
              <th scope="col">
                <span className="visually-hidden">{words.commands}</span>
              </th>
            )}
          </tr>
        </thead>
        <tbody>
          {copies.map((copy) => (
            <tr key={copy.id}>
              <th scope="row">
                <CopyLink id={copy.id} number={copy.number} />
              </th>
              <td>{copy.where === null ? null : <Whereabouts where={copy.where} />}</td>
              <td>{copy.where === null ? null : <Moment instant={copy.where.since} />}</td>
              {onDestroy === null ? null : (
                <td>
                  {copy.where?.state === 'held' ? (
                    <button type="button" className="button-plain small" onClick={() => onDestroy(copy)}>
                      {text.destroy}
                      <span className="visually-hidden">{words.keySetUp.about(copy.number)}</span>
                    </button>
                  ) : null}
                </td>
              )}
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}

function Locks({ code }: OfCode) {
  const { api, may, to } = useOperator();
  const question = useQuery(keySitesQuery(api));
  return (
    <section className="section" aria-labelledby="locks">
      <h2 id="locks">{text.where}</h2>
      <Answer question={question} lines={4}>
        {(sites) => {
          const taking = sites.flatMap((site) => site.cuts.filter(({ keyCodeId }) => keyCodeId === code.id).map(({ machines }) => ({ ...site, taking: machines })));
          return (
            <>
              {taking.length === 0 ? <p className="soft">{text.nowhere}</p> : (
                <table className={styles.narrow}>
                  <caption className="visually-hidden">{text.where}</caption>
                  <thead>
                    <tr>
                      <th scope="col">{words.site}</th>
                      <th scope="col" className="figure">{text.machines}</th>
                    </tr>
                  </thead>
                  <tbody>
                    {taking.map(({ siteId, siteCode, siteName, taking: machines }) => (
                      <tr key={siteId}>
                        <th scope="row">
                          <Link to={to(`keys/sites/${siteId}`)}>{siteName}</Link> <span className="code small">{siteCode}</span>
                        </th>
                        <td className="figure">{formatCount(machines, locale)}</td>
                      </tr>
                    ))}
                  </tbody>
                </table>
              )}
              {may('machine-lock.fit') ? (
                <div>
                  <Link className="button" to={to(`keys/sites?show=${code.class === 'access' ? 'play-area' : 'cash-box'}`)}>{text.fit}</Link>
                </div>
              ) : null}
            </>
          );
        }}
      </Answer>
    </section>
  );
}
