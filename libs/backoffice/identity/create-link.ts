import { formatInstant } from '#contracts/format';
import type { CreatedLink, Invite } from '#contracts/member';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Role } from '#domain/permissions/role';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { wrongMember } from './check-member';
import { insertInvitation, insertPasswordLink, selectMembers, withdrawOpenLink } from './member.sql';
import { newSecret, normaliseEmail } from './secret';

const HOUR_MS = 60 * 60 * 1000;
/** Long enough for somebody on holiday; short enough that an old mail opens nothing. */
const INVITATION_HOURS = 14 * 24;
/** Asked for because somebody is waiting. */
const PASSWORD_LINK_HOURS = 24;

const options = {
  constraints: { one_use_link_pkey: { code: 'already-exists', errors: [{ in: 'body', pointer: '#/id', code: 'taken', message: 'There is a link with this id.' }] } },
  withoutSecrets: (link: CreatedLink): CreatedLink => ({ ...link, address: null }),
} as const;

/** Invites somebody by a link that serves once; the caller hands it over. */
export async function inviteMember(deps: Backoffice, caller: Caller, command: Invite): Promise<Outcome<CreatedLink>> {
  return perform(
    deps,
    caller,
    'member.invite',
    async ({ tx, now }) => {
      const wrong = (await wrongMember(tx, command)) ?? (await memberAlready(tx, command.email));
      return wrong ?? done(await writeInvitation(deps, tx, { ...command, id: command.id ?? deps.newId(), now }));
    },
    options,
  );
}

/** An invitation would not change what a member is, so it is not given out for one. */
async function memberAlready(tx: TenantTransaction, email: string): Promise<Outcome<never> | null> {
  const isMember = (await selectMembers(tx)).some((member) => normaliseEmail(member.email) === normaliseEmail(email));
  return isMember ? refusedFields('already-exists', [{ path: ['email'], code: 'taken', message: 'Somebody with this address is a member already.' }]) : null;
}

/** Writes an invitation within a transaction that has checked it. */
export async function writeInvitation(
  deps: Pick<Backoffice, 'publicUrl'>,
  tx: TenantTransaction,
  invitation: { id: string; email: string; role: Role; personId: string | null; siteIds: readonly string[]; now: Date },
): Promise<CreatedLink> {
  const { id, role, personId, siteIds, now } = invitation;
  const email = normaliseEmail(invitation.email);
  const until = new Date(now.getTime() + INVITATION_HOURS * HOUR_MS);
  const secret = newSecret();
  await insertInvitation(tx, { linkId: id, secretHash: secret.hash, email, role, personId, siteIds, now, until });
  return { id, email, address: linkAddress(deps, secret.text), expiresAt: formatInstant(until) };
}

/** A link with which a member sets a new password, for an account that belongs to this operator alone. */
export async function createPasswordLink(deps: Backoffice, caller: Caller, command: { id: string }): Promise<Outcome<CreatedLink>> {
  return perform<CreatedLink>(
    deps,
    caller,
    'member.change',
    async ({ tx, now }) => {
      const linkId = deps.newId();
      const until = new Date(now.getTime() + PASSWORD_LINK_HOURS * HOUR_MS);
      const secret = newSecret();
      const result = await insertPasswordLink(tx, { linkId, secretHash: secret.hash, accountId: command.id, now, until });
      if (result === 'unknown') return refused('not-found');
      if (result === 'shared') return refused('account-shared');
      const email = (await selectMembers(tx)).find((member) => member.account_id === command.id)?.email ?? '';
      return done({ id: linkId, email, address: linkAddress(deps, secret.text), expiresAt: formatInstant(until) });
    },
    options,
  );
}

/** Makes an open link useless. */
export async function withdrawLink(deps: Backoffice, caller: Caller, command: { id: string }): Promise<Outcome<undefined>> {
  return perform<undefined>(deps, caller, 'member.invite', async ({ tx, now }) =>
    (await withdrawOpenLink(tx, { linkId: command.id, now })) ? done(undefined) : refused('not-found'),
  );
}

/** The secret stands behind the #, which browsers send to no server and so into no log. */
function linkAddress(deps: Pick<Backoffice, 'publicUrl'>, secret: string): string {
  return `${deps.publicUrl}/link#${secret}`;
}
