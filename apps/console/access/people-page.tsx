import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { CreatedLink, Member } from '../api/shapes';
import { formatDay, formatInstant, dayOf } from '../format/day';
import { locale } from '../format/locale';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { ShownOnce } from '../parts/shown-once';
import { Wide } from '../parts/wide';
import { membersQuery } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { Invite } from './invite';
import { MemberCommands } from './member-commands';
import { OpenLinks } from './open-links';
import styles from './access.module.css';

/** `people`: who may sign in as what, the links that were given out, and for the owner the way to change both. */
export function PeoplePage() {
  const { api, may } = useOperator();
  const [inviting, setInviting] = useState(false);
  const [made, setMade] = useState<CreatedLink | null>(null);
  const allowed = may('member.read');
  const question = useQuery({ ...membersQuery(api), enabled: allowed });
  const text = words.people;
  if (!allowed) return <Denied title={text.title} />;
  return (
    <Page
      title={text.title}
      actions={
        may('member.invite') ? (
          <button type="button" className="button button-main" onClick={() => setInviting(true)}>
            {text.invite}
          </button>
        ) : undefined
      }
    >
      <Answer question={question} lines={8}>
        {({ items }) => <MemberTable members={items} onLink={setMade} />}
      </Answer>
      <OpenLinks />
      {inviting ? (
        <Invite
          onMade={(link) => {
            setInviting(false);
            setMade(link);
          }}
          onClose={() => setInviting(false)}
        />
      ) : null}
      {made === null ? null : <MadeLink link={made} onClose={() => setMade(null)} />}
    </Page>
  );
}

function MadeLink({ link, onClose }: { readonly link: CreatedLink; readonly onClose: () => void }) {
  const { address, email, expiresAt } = link;
  const text = words.people;
  return (
    <ShownOnce
      title={text.handOver(email)} lead={address === null ? text.notShownAgain : text.handOverLead(formatInstant(expiresAt, locale))}
      label={text.link} value={address} onClose={onClose}
    />
  );
}

interface MemberTableProps {
  readonly members: readonly Member[];
  readonly onLink: (link: CreatedLink) => void;
}

function MemberTable({ members, onLink }: MemberTableProps) {
  const { may, account } = useOperator();
  const text = words.people;
  const mayChange = may('member.change');
  return (
    <Wide title={text.title}>
      <table>
        <caption className="visually-hidden">{text.title}</caption>
        <thead>
          <tr>
            <th scope="col">{text.name}</th>
            <th scope="col">{text.role}</th>
            <th scope="col">{text.secondFactor}</th>
            <th scope="col">{text.since}</th>
            {mayChange ? <th scope="col"><span className="visually-hidden">{words.commands}</span></th> : null}
          </tr>
        </thead>
        <tbody>
          {members.map((member) => (
            <tr key={member.id}>
              <th scope="row">
                {member.name}
                {member.id === account.id ? <span className="soft">{` (${text.you})`}</span> : null}
                <div className={`soft small ${styles.below}`}>{member.email}</div>
              </th>
              <td>
                {text.roleTitle(words.roles[member.role])}
                {member.siteIds.length === 0 ? null : <div className="soft small">{text.sites(member.siteIds.length)}</div>}
              </td>
              <td>{member.hasSecondFactor ? text.hasFactor.yes : text.hasFactor.no}</td>
              <td className="code">{formatDay(dayOf(new Date(member.joinedAt)), locale)}</td>
              {mayChange ? <td>{member.id === account.id ? null : <MemberCommands member={member} onLink={onLink} />}</td> : null}
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
