import type { ChangeMember } from '#contracts/member';
import { refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { isKnownPerson, selectKnownSites } from './member.sql';

/** What is wrong with a member's role, sites and person, or `null`. */
export async function wrongMember(tx: TenantTransaction, member: ChangeMember): Promise<Outcome<never> | null> {
  const wrong: WrongField[] = [];
  const known = await selectKnownSites(tx, member.siteIds);
  member.siteIds.forEach((siteId, index) => {
    if (!known.has(siteId)) wrong.push({ path: ['siteIds', index], code: 'unknown', message: 'There is no such site.' });
  });
  if (member.role === 'site-manager' && member.siteIds.length === 0) {
    wrong.push({ path: ['siteIds'], code: 'missing', message: 'A site manager is bound to at least one site.' });
  }
  if (member.role !== 'site-manager' && member.siteIds.length > 0) {
    wrong.push({ path: ['siteIds'], code: 'not-for-this-role', message: 'Only site managers are bound to sites; this role sees all of them.' });
  }
  if (member.personId !== null && !(await isKnownPerson(tx, member.personId))) {
    wrong.push({ path: ['personId'], code: 'unknown', message: 'There is no such person.' });
  }
  return wrong.length === 0 ? null : refusedFields('invalid-command', wrong);
}
