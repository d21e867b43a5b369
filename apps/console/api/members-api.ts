import * as sdk from '../generated';
import type { BringSigningCertificateData, ChangeMemberData, CreateApiTokenData, InviteMemberData, RevokeSigningCertificateData } from '../generated';
import { once, type Base } from './client';
import type { Member } from './shapes';

/** The longest page that a list gives. */
const most = 200;

const asSeen = ({ revision }: Pick<Member, 'revision'>) => ({ 'If-Match': `"${revision}"` });

/** Who and which programs may sign in for the operator. */
export function membersApi(base: Base) {
  return {
    members: async (signal: AbortSignal) => (await sdk.listMembers({ ...base, signal })).data,
    member: async (id: string, signal: AbortSignal | null = null) => (await sdk.readMember({ ...base, signal, path: { id } })).data,
    openLinks: async (signal: AbortSignal) => (await sdk.listOpenLinks({ ...base, signal })).data,
    invite: async (body: InviteMemberData['body'], key: string) => (await sdk.inviteMember({ ...base, ...once(key), body })).data,
    changeMember: async (member: Member, body: ChangeMemberData['body']) =>
      (await sdk.changeMember({ ...base, headers: asSeen(member), path: { id: member.id }, body })).data,
    removeMember: async (member: Member) => {
      await sdk.removeMember({ ...base, headers: asSeen(member), path: { id: member.id } });
    },
    linkForPassword: async (id: string, key: string) => (await sdk.createPasswordLink({ ...base, ...once(key), path: { id } })).data,
    withdrawLink: async (id: string) => {
      await sdk.withdrawLink({ ...base, path: { id } });
    },
    signingCertificates: async (signal: AbortSignal) => (await sdk.listSigningCertificate({ ...base, signal })).data,
    bringCertificate: async (body: BringSigningCertificateData['body'], key: string) => (await sdk.bringSigningCertificate({ ...base, ...once(key), body })).data,
    revokeCertificate: async ({ id, body }: { id: string; body: RevokeSigningCertificateData['body'] }, key: string) =>
      (await sdk.revokeSigningCertificate({ ...base, ...once(key), path: { id }, body })).data,
    confirmRevocation: async (id: string, key: string) => (await sdk.confirmSigningCertificate({ ...base, ...once(key), path: { id } })).data,
    apiTokens: async (cursor: string | null, signal: AbortSignal) =>
      (await sdk.listApiToken({ ...base, signal, query: { limit: most, ...(cursor === null ? {} : { cursor }) } })).data,
    makeApiToken: async (body: CreateApiTokenData['body'], key: string) => (await sdk.createApiToken({ ...base, ...once(key), body })).data,
    revokeApiToken: async (id: string, key: string) => (await sdk.revokeApiToken({ ...base, ...once(key), path: { id } })).data,
  };
}
