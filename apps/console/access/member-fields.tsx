import { useQuery } from '@tanstack/react-query';
import { roles, type Role } from '#domain/permissions/role';
import type { FormError } from '../parts/error-summary';
import { errorAt } from '../parts/form';
import { TroubleNotice } from '../parts/trouble';
import { peopleQuery } from '../keys/queries';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { SiteChoice } from './site-choice';

/** What somebody is to an operator. */
export interface Membership {
  readonly role: Role;
  readonly personId: string | null;
  /** Kept while another role is tried; only a site manager's are sent. */
  readonly siteIds: readonly string[];
}

export interface MemberFieldIds {
  readonly role: string;
  readonly personId: string;
  readonly siteIds: string;
}

interface MemberFieldsProps {
  readonly ids: MemberFieldIds;
  readonly member: Membership;
  readonly errors: readonly FormError[];
  readonly onMember: (member: Membership) => void;
}

/** Role, the person of the books, and for a site manager the sites. */
export function MemberFields({ ids, member, errors, onMember }: MemberFieldsProps) {
  const { api } = useOperator();
  const people = useQuery(peopleQuery(api));
  const text = words.people;
  return (
    <>
      <div className="field">
        <label htmlFor={ids.role}>{text.role}</label>
        <span id={`${ids.role}-hint`} className="field-hint">
          {text.roleMeans[member.role]}
        </span>
        <select id={ids.role} value={member.role} aria-describedby={`${ids.role}-hint`} onChange={(event) => onMember({ ...member, role: event.currentTarget.value as Role })}>
          {roles.map((role) => (
            <option key={role} value={role}>
              {text.roleTitle(words.roles[role])}
            </option>
          ))}
        </select>
      </div>
      {member.role === 'site-manager' ? (
        <SiteChoice id={ids.siteIds} chosen={member.siteIds} error={errorAt(errors, ids.siteIds)} onChosen={(siteIds) => onMember({ ...member, siteIds })} />
      ) : null}
      <div className="field">
        <label htmlFor={ids.personId}>{text.inCards}</label>
        <span id={`${ids.personId}-hint`} className="field-hint">
          {text.inCardsHint}
        </span>
        <select
          id={ids.personId} aria-busy={people.isLoading} value={member.personId ?? ''} aria-describedby={`${ids.personId}-hint`}
          onChange={(event) => onMember({ ...member, personId: event.currentTarget.value === '' ? null : event.currentTarget.value })}
        >
          <option value="">{people.isLoading ? words.loading : text.nobody}</option>
          {people.data?.map((person) => (
            <option key={person.id} value={person.id}>
              {`${person.name} (${person.code})`}
            </option>
          ))}
        </select>
      </div>
      {people.isError ? <TroubleNotice error={people.error} onRetry={() => void people.refetch()} /> : null}
    </>
  );
}

/** What is missing before it can be sent. */
export function missingOf({ role, siteIds }: Membership, ids: MemberFieldIds): FormError[] {
  return role === 'site-manager' && siteIds.length === 0 ? [{ fieldId: ids.siteIds, message: words.people.siteMissing }] : [];
}

/** As the api takes it: only a site manager is bound to sites. */
export function bodyOf({ role, personId, siteIds }: Membership) {
  return { role, personId, siteIds: role === 'site-manager' ? [...siteIds] : [] };
}
