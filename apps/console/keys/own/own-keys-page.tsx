import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { OwnKeys } from '../../api/shapes';
import { Answer, Blank } from '../../parts/answer';
import { Denied } from '../../parts/denied';
import { Page } from '../../parts/page';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { Code, KeyViews, Moment } from '../parts';
import { Opened } from '../person-keys';
import { ownKeysQuery } from '../queries';
import { toConfirmQuery } from '../record/queries';
import { RecordButton } from '../record/record-button';
import { OwnInventories } from './own-inventories';
import { ToConfirm } from './to-confirm';
import styles from '../keys.module.css';

const text = words.custody.ownKeys;

/** `keys/own`: what whoever is signed in has to confirm, holds, and can do with it; first of all on a phone. */
export function OwnKeysPage() {
  const { api, may } = useOperator();
  const allowed = may('own-keys.read');
  const question = useQuery({ ...ownKeysQuery(api), enabled: allowed });
  if (!allowed) return <Denied title={words.keys.person.own} />;
  return (
    <Page title={words.keys.person.own} actions={<KeyViews />}>
      <ToConfirm />
      <OwnInventories />
      <Answer question={question} lines={6}>
        {(keys) => (keys.person === null ? <Blank title={words.keys.person.noPerson} /> : <Own keys={keys} />)}
      </Answer>
    </Page>
  );
}

function Own({ keys: { copies, opens, handsOn } }: { readonly keys: OwnKeys }) {
  // A key that was reported leaves the list: without a word nobody would know whether the report was taken.
  const [reported, setReported] = useState<string | null>(null);
  return (
    <>
      <div role="status">{reported === null ? null : <p className="notice">{text.reported(reported)}</p>}</div>
      <section className="section" aria-labelledby="held">
        <h2 id="held">{text.held}</h2>
        {copies.length === 0 ? <Blank title={text.none} /> : null}
        <ul>
          {copies.map((copy) => (
            <Held key={`${copy.keyCopyId} ${copy.where.since}`} copy={copy} mayHandOn={handsOn.includes(copy.class)} onReported={() => setReported(copy.number)} />
          ))}
        </ul>
      </section>
      {opens.length === 0 ? null : (
        <section className="section" aria-labelledby="opens">
          <h2 id="opens">{text.rest}</h2>
          <Opened opens={opens} />
        </section>
      )}
    </>
  );
}

function Held({ copy, mayHandOn, onReported }: { readonly copy: OwnKeys['copies'][number]; readonly mayHandOn: boolean; readonly onReported: () => void }) {
  const { api, may, membership } = useOperator();
  const toConfirm = useQuery({ ...toConfirmQuery(api), enabled: may('custody.acknowledge') });
  const { keyCopyId, number, code, class: kind, via, where } = copy;
  const at = { keyCopyId, number, class: kind, where };
  const isDenied = toConfirm.data?.items.some(({ side, deniedAt, copies }) => side === 'receiver' && deniedAt !== null && copies.some((each) => each.number === number)) === true;
  const isLate = where.dueBackAt !== null && Date.parse(where.dueBackAt) < Date.now();
  return (
    <li className={styles.held}>
      <h3>
        {number} <span className="soft small"><Code code={code} kind={kind} /></span>
      </h3>
      {via === 'holds' || where.holder === null ? null : <p>{text.hangs(where.holder.name)}</p>}
      <p className="soft">
        {words.keys.since} <Moment instant={where.since} />
      </p>
      {isDenied ? <p className="state-alarm">{text.notGot}</p> : null}
      {where.dueBackAt === null ? null : (
        <p className={isLate ? 'state state-alarm' : undefined}>
          {isLate ? text.late : null} {words.keys.dueBack} <Moment instant={where.dueBackAt} />
        </p>
      )}
      {via === 'holds' ? (
        <div className="row">
          {/* Who takes a key back from a site is of the operator, and records it. */}
          {membership.role === 'site-manager' ? null : <RecordButton copy={at} size="large" movements={['returned']} label={text.bring} said={{ title: text.bringTitle(number), action: text.bring }} reason={text.broughtReason} />}
          {mayHandOn ? <RecordButton copy={at} size="large" movements={['handed-over']} label={text.handOn} reason={text.handedReason} /> : null}
          <RecordButton copy={at} size="large" movements={['reported-missing']} label={text.lost} reason={text.lostReason} onRecorded={onReported} />
        </div>
      ) : null}
    </li>
  );
}
