import { formatInstant } from '#contracts/format';
import type { Member, OpenLink } from '#contracts/member';
import type { MemberRow, OpenLinkRow } from './member.sql';

/** A stored membership as the API shows it. */
export function toMember(row: MemberRow): Member {
  return {
    id: row.account_id,
    email: row.email,
    name: row.name,
    role: row.role,
    personId: row.person_id,
    siteIds: row.site_ids,
    hasSecondFactor: row.has_second_factor,
    joinedAt: formatInstant(row.created_at),
    revision: row.revision,
  };
}

export function toOpenLink(row: OpenLinkRow): OpenLink {
  return {
    id: row.id,
    kind: row.kind,
    email: row.email,
    role: row.role,
    createdBy: row.created_by,
    createdAt: formatInstant(row.created_at),
    expiresAt: formatInstant(row.expires_at),
  };
}
