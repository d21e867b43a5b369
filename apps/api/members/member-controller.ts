import { Controller, Delete, Get, Inject, Post, Put } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { changeMember, removeMember } from '#backoffice/identity/change-member';
import { createPasswordLink, inviteMember, withdrawLink } from '#backoffice/identity/create-link';
import { listMembers, listOpenLinks, readMember } from '#backoffice/identity/list-members';
import { idParamsSchema } from '#contracts/format';
import { changeMemberSchema, createdLinkSchema, inviteSchema, memberListSchema, memberSchema, openLinkListSchema } from '#contracts/member';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'member.read', summary: 'List everybody who may sign in', answer: memberListSchema } as const;
const read = { access: 'member.read', summary: 'Read one member', params: idParamsSchema, answer: memberSchema, revision: 'shown' } as const;
const change = { access: 'member.change', summary: 'Give a member another role, other sites or another person', params: idParamsSchema, body: changeMemberSchema, answer: memberSchema, revision: 'needed', problems: ['last-owner', 'invalid-command'] } as const;
const remove = { access: 'member.remove', summary: 'End a membership', params: idParamsSchema, status: 204, revision: 'needed', problems: ['last-owner'] } as const;
const passwordLink = { access: 'member.change', summary: 'Make a link with which a member sets a new password', params: idParamsSchema, status: 201, answer: createdLinkSchema, once: true, problems: ['account-shared'] } as const;
const invite = { access: 'member.invite', summary: 'Invite somebody by a link that serves once', body: inviteSchema, status: 201, answer: createdLinkSchema, once: true, problems: ['invalid-command', 'already-exists'] } as const;
const links = { access: 'member.read', summary: 'List the links that were given out and not used yet', answer: openLinkListSchema } as const;
const withdraw = { access: 'member.invite', summary: 'Withdraw a link', params: idParamsSchema, status: 204 } as const;

@Controller('v1')
export class MemberController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get('members')
  @Endpoint(list)
  listMembers(@Asked() { caller }: AskedFor<typeof list>) {
    return listMembers(this.backoffice, caller);
  }

  @Get('members/:id')
  @Endpoint(read)
  readMember(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readMember(this.backoffice, caller, params);
  }

  @Put('members/:id')
  @Endpoint(change)
  changeMember(@Asked() { caller, params, body, expectedRevision }: AskedFor<typeof change>) {
    return changeMember(this.backoffice, caller, { ...params, ...body, expectedRevision });
  }

  @Delete('members/:id')
  @Endpoint(remove)
  removeMember(@Asked() { caller, params, expectedRevision }: AskedFor<typeof remove>) {
    return removeMember(this.backoffice, caller, { ...params, expectedRevision });
  }

  @Post('members/:id/password-link')
  @Endpoint(passwordLink)
  createPasswordLink(@Asked() { caller, params }: AskedFor<typeof passwordLink>) {
    return createPasswordLink(this.backoffice, caller, params);
  }

  @Post('invitations')
  @Endpoint(invite)
  inviteMember(@Asked() { caller, body }: AskedFor<typeof invite>) {
    return inviteMember(this.backoffice, caller, body);
  }

  @Get('open-links')
  @Endpoint(links)
  listOpenLinks(@Asked() { caller }: AskedFor<typeof links>) {
    return listOpenLinks(this.backoffice, caller);
  }

  @Delete('open-links/:id')
  @Endpoint(withdraw)
  withdrawLink(@Asked() { caller, params }: AskedFor<typeof withdraw>) {
    return withdrawLink(this.backoffice, caller, params);
  }
}
