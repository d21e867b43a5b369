import { useQuery } from '@tanstack/react-query';
import { Link } from 'react-router';
import type { KeyAttention, KeyTasks } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Download } from '../parts/download';
import { Page } from '../parts/page';
import { TitledTable } from '../parts/titled-table';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { CaseLink } from './cases/case-link';
import { ClockFields, useClocks } from './clocks';
import { Code, CopyLink, Holder, KeyViews, Moment } from './parts';
import { attentionQuery, tasksQuery } from './queries';
import { ConfirmButton } from './record/confirm-button';
import { WithoutKey } from './without-key';

const text = words.keys.attention;

/** A longer list of what presses least would put the rest out of sight. */
const mostUnfolded = 5;

/** `keys/attention`: what somebody has to look after, the most pressing first. */
export function KeyAttentionPage() {
  const { api, may } = useOperator();
  const allowed = may('key-attention.read');
  const [clocks, change] = useClocks();
  const question = useQuery({ ...attentionQuery(api, clocks), enabled: allowed });
  if (!allowed) return <Denied title={text.view} />;
  return (
    <Page title={text.view} actions={<KeyViews />}>
      <details open={clocks.at !== undefined || clocks.knownAt !== undefined}>
        <summary>{text.earlier}</summary>
        <ClockFields clocks={clocks} onChange={change} />
      </details>
      <Answer question={question} lines={10}>
        {(attention) => (
          <>
            {attention.onePersonReview === null ? null : <OnePersonReview reviewOn={attention.onePersonReview.reviewOn} />}
            <Missing missing={attention.missing} />
            <Breaches breaches={attention.breaches} />
            <Overdue overdue={attention.overdue} />
            <Unacknowledged unacknowledged={attention.unacknowledged} />
            {clocks.at === undefined && clocks.knownAt === undefined ? <Tasks /> : null}
            <CustodiansWhoCollect custodiansWhoCollect={attention.custodiansWhoCollect} />
            <WithoutAccessKey withoutAccessKey={attention.withoutAccessKey} />
            {may('collection-key.read') ? <WithoutKey /> : null}
            <Download file={() => api.keyAttentionFile(clocks)} />
          </>
        )}
      </Answer>
    </Page>
  );
}

function Missing({ missing }: Pick<KeyAttention, 'missing'>) {
  const rows = missing.map(({ keyCopyId, number, code, class: kind, since, lastHolder }) => (
    <tr key={keyCopyId}>
      <th scope="row">
        <CopyLink id={keyCopyId} number={number} />
      </th>
      <td>
        <Code code={code} kind={kind} />
      </td>
      <td>
        <Moment instant={since} />
      </td>
      <td>{lastHolder === null ? null : <Holder holder={lastHolder} />}</td>
      <td>
        <CaseLink copyId={keyCopyId} look="small" />
      </td>
    </tr>
  ));
  return <TitledTable id="missing" title={text.missing} none={text.noneMissing} columns={[words.keys.number, words.keys.code, words.keys.since, text.lastWith, words.commands]} rows={rows} />;
}

function Breaches({ breaches }: Pick<KeyAttention, 'breaches'>) {
  const rows = breaches.map(({ keyCopyId, number, code, holder, putRightBy, late }) => (
    <tr key={keyCopyId}>
      <th scope="row">
        <CopyLink id={keyCopyId} number={number} />
      </th>
      <td>
        <Code code={code} kind="cash-box" />
      </td>
      <td>
        <Holder holder={holder} />
      </td>
      <td>
        <Moment instant={putRightBy} /> {late ? <span className="state state-alarm">{text.late}</span> : null}
      </td>
    </tr>
  ));
  return <TitledTable id="breaches" title={text.breaches} none={text.noBreaches} columns={[words.keys.number, words.keys.code, words.keys.with, text.putRightBy]} rows={rows} />;
}

function Overdue({ overdue }: Pick<KeyAttention, 'overdue'>) {
  const rows = overdue.map(({ keyCopyId, number, code, class: kind, holder, dueBackAt }) => (
    <tr key={keyCopyId}>
      <th scope="row">
        <CopyLink id={keyCopyId} number={number} />
      </th>
      <td>
        <Code code={code} kind={kind} />
      </td>
      <td>
        <Holder holder={holder} />
      </td>
      <td>
        <Moment instant={dueBackAt} />
      </td>
    </tr>
  ));
  return <TitledTable id="overdue" title={text.overdue} none={text.noneOverdue} columns={[words.keys.number, words.keys.code, words.keys.with, words.keys.dueBack]} rows={rows} />;
}

function Unacknowledged({ unacknowledged }: Pick<KeyAttention, 'unacknowledged'>) {
  // What somebody says was not so is more than what nobody has confirmed yet.
  const pressing = unacknowledged.toSorted((one, other) => Number(one.deniedBy.length === 0) - Number(other.deniedBy.length === 0));
  const rows = pressing.map(({ eventId, kind, numbers, from, to, acknowledgeBy, late, deniedBy }) => (
    <tr key={eventId}>
      <th scope="row">{numbers.join(', ')}</th>
      <td>{words.keys.copy.says[kind]}</td>
      <td>{from === null ? null : <Holder holder={from} />}</td>
      <td>{to === null ? null : <Holder holder={to} />}</td>
      <td>
        <Moment instant={acknowledgeBy} /> {late ? <span className="state state-alarm">{text.late}</span> : null}
        {deniedBy.map(({ side, how }) => (
          <div key={side}>
            <span className="state state-alarm">{words.custody.events.by(text.denied[side], words.custody.confirm.how[how])}</span>
          </div>
        ))}
      </td>
      <td>
        <ConfirmButton eventId={eventId} about={numbers.join(', ')} />
      </td>
    </tr>
  ));
  const columns = [text.copies, words.keys.copy.happened, text.from, text.to, text.confirmBy, words.commands];
  return <TitledTable id="unacknowledged" title={text.unacknowledged} none={text.noneUnacknowledged} columns={columns} rows={rows} />;
}

/** Who leaves and what closes, as it is now: a past moment had its own. */
function Tasks() {
  const { api } = useOperator();
  const question = useQuery(tasksQuery(api));
  return (
    <Answer question={question} lines={4}>
      {({ leavers, closingSites }) => (
        <>
          <Leavers leavers={leavers} />
          <ClosingSites closingSites={closingSites} />
        </>
      )}
    </Answer>
  );
}

function Leavers({ leavers }: Pick<KeyTasks, 'leavers'>) {
  const { to } = useOperator();
  const rows = leavers.map(({ person, leftOn, overdue, copies, keeps }) => (
    <tr key={person.personId}>
      <th scope="row">
        <Link to={to(`keys/people/${person.personId}`)}>{person.name}</Link> <span className="code small">{person.code}</span>
      </th>
      <td>
        {formatDay(leftOn, locale)} {overdue ? <span className="state state-alarm">{text.overdueTask}</span> : null}
      </td>
      <td>
        <CopiesOut copies={copies} />
        {keeps.length === 0 ? null : <div className="soft small">{text.keeps(keeps.map(({ name, code }) => `${name} (${code})`).join(', '))}</div>}
      </td>
    </tr>
  ));
  return <TitledTable id="leavers" title={text.leavers} none={text.noLeavers} columns={[words.keys.openers.person, text.lastDay, text.stillHave]} rows={rows} />;
}

/** Closed sites without a key are nothing to look after. */
function ClosingSites({ closingSites }: Pick<KeyTasks, 'closingSites'>) {
  const { to } = useOperator();
  const rows = closingSites.map(({ siteId, siteCode, siteName, closedOn, overdue, copies }) => (
    <tr key={siteId}>
      <th scope="row">
        <Link to={to(`sites/${siteId}`)}>{siteName}</Link> <span className="code small">{siteCode}</span>
      </th>
      <td>
        {formatDay(closedOn, locale)} {overdue ? <span className="state state-alarm">{text.overdueTask}</span> : null}
      </td>
      <td>
        <CopiesOut copies={copies} />
      </td>
    </tr>
  ));
  return <TitledTable id="closing-sites" title={text.closingSites} none={text.noClosingSites} columns={[words.site, text.closesOn, text.keysThere]} rows={rows} />;
}

function CopiesOut({ copies }: { readonly copies: KeyTasks['leavers'][number]['copies'] }) {
  return (
    <>
      {copies.map(({ keyCopyId, number, code, class: kind }) => (
        <div key={keyCopyId}>
          <CopyLink id={keyCopyId} number={number} />
          <div className="small">
            <Code code={code} kind={kind} />
          </div>
        </div>
      ))}
    </>
  );
}

function OnePersonReview({ reviewOn }: { readonly reviewOn: string }) {
  const { to } = useOperator();
  return (
    <div className="notice notice-alarm">
      <strong>{words.keyPolicy.reviewTitle}</strong>
      <p>{words.keyPolicy.reviewWhat(formatDay(reviewOn, locale))}</p>
      <p>
        <Link to={to('keys/policy')}>{words.keyPolicy.attention.open}</Link>
      </p>
    </div>
  );
}

function CustodiansWhoCollect({ custodiansWhoCollect }: Pick<KeyAttention, 'custodiansWhoCollect'>) {
  const say = words.keyPolicy.attention;
  const rows = custodiansWhoCollect.map(({ store, person, since }) => (
    <tr key={store.id}>
      <th scope="row">
        <Holder holder={store} />
      </th>
      <td>
        <Holder holder={person} />
      </td>
      <td>
        <Moment instant={since} />
      </td>
    </tr>
  ));
  return <TitledTable id="custodians" title={say.custodians} none={say.noCustodians} columns={[say.store, say.custodian, words.keys.since]} rows={rows} />;
}

function WithoutAccessKey({ withoutAccessKey }: Pick<KeyAttention, 'withoutAccessKey'>) {
  const { may, to } = useOperator();
  const rows = withoutAccessKey.map(({ siteId, siteCode, siteName, none, machines }) => (
    <tr key={siteId}>
      <th scope="row">
        <Link to={to(`sites/${siteId}`)}>{siteName}</Link> <span className="code small">{siteCode}</span>
        {none ? <div className="soft small">{text.whole}</div> : null}
      </th>
      <td>{machines.map(({ machineTag, hasAccessLock }) => (hasAccessLock ? machineTag : text.noAccessLock(machineTag))).join(', ')}</td>
    </tr>
  ));
  return (
    <>
      <TitledTable id="without-access-key" title={text.withoutAccessKey} none={text.noneWithout} folded={rows.length > mostUnfolded ? text.sites(rows.length) : undefined} columns={[words.site, text.machines]} rows={rows} />
      {rows.length > 0 && may('key-place.create') ? (
        <p>
          <Link to={to('keys/sites?show=keys')}>{words.keySetUp.sites.giveThem}</Link>
        </p>
      ) : null}
    </>
  );
}
