import { randomBytes } from 'node:crypto';
import { acceptInvitation } from '#backoffice/identity/accept-invitation';
import { inviteMember } from '#backoffice/identity/create-link';
import { hashSecret } from '#backoffice/identity/secret';
import { readSession } from '#backoffice/identity/read-session';
import { signOut } from '#backoffice/identity/sign-out';
import type { Backoffice } from '#backoffice/dependencies';
import type { Caller } from '#backoffice/caller';
import type { Role } from '#domain/permissions/role';
import type { DemoSignIn } from '../demo-data';
import { expectDone } from './expect-done';

export const visitor = { address: '127.0.0.1', userAgent: 'demo', requestId: 'demo' } as const;

export type DemoMember = { readonly role: Role; readonly name: string; readonly email: string; readonly personId: string | null; readonly siteIds: readonly string[] };

/** A random password per installation: nobody can know those of another. */
export function newPassword(): string {
  return randomBytes(12).toString('base64url');
}

/** Invites somebody and lets them accept, as a person would by their link. Gives what they act as. */
export async function addMember(
  deps: Backoffice,
  owner: Caller,
  member: DemoMember,
  account: { operatorName: string; password: string },
): Promise<{ caller: Caller; signIn: DemoSignIn }> {
  const { role, email, personId, siteIds } = member;
  const invited = expectDone(await inviteMember(deps, owner, { email, role, personId, siteIds: [...siteIds] }), `invite ${email}`);
  const id = await accept(deps, { address: invited.address ?? '', name: member.name, password: account.password });
  return {
    caller: { kind: 'user', tenantId: owner.tenantId, id, role, siteIds, personId },
    signIn: { operator: account.operatorName, role, email, password: account.password },
  };
}

/** Accepts an invitation and closes the session that this opens: the demo leaves no open door behind. */
export async function accept(deps: Backoffice, link: { address: string; name: string; password: string }): Promise<string> {
  const secret = link.address.split('#')[1] ?? '';
  const opened = expectDone(await acceptInvitation(deps, visitor, { secret, name: link.name, password: link.password }), `accept as ${link.name}`);
  const signedIn = await readSession(deps, opened.secret);
  if (signedIn === null || !signedIn.secretHash.equals(hashSecret(opened.secret))) throw new Error('the session that was just opened is not there');
  expectDone(await signOut(deps, visitor, { signedIn, everywhere: false }), 'sign out');
  return opened.account.id;
}
