import { Controller, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { acceptInvitation } from '#backoffice/identity/accept-invitation';
import { lookAtLink } from '#backoffice/identity/look-at-link';
import { setPasswordByLink } from '#backoffice/identity/set-password-by-link';
import { acceptInvitationSchema, accountSchema, linkSchema, lookAtLinkSchema, setPasswordByLinkSchema } from '#contracts/account';
import { answerSession } from '../authentication/session-answer';
import { visitorOf } from '../authentication/visitor';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { API_OPTIONS, BACKOFFICE, isSecure, type ApiOptions } from '../options';

// The secret of a link goes in the body, never in an address, so that no log gets to see it.
const look = { access: 'public', guessable: true, summary: 'Say what a one-use link is for', body: lookAtLinkSchema, answer: linkSchema, problems: ['link-unusable', 'cross-site-request'] } as const;
const accept = { access: 'public', guessable: true, summary: 'Accept an invitation and sign in', body: acceptInvitationSchema, answer: accountSchema, problems: ['link-unusable', 'sign-in-refused', 'sign-in-locked', 'password-too-weak', 'invalid-command', 'cross-site-request'] } as const;
const setPassword = { access: 'public', guessable: true, summary: 'Set a new password', body: setPasswordByLinkSchema, status: 204, problems: ['link-unusable', 'password-too-weak', 'cross-site-request'] } as const;

@Controller('v1/links')
export class LinkController {
  constructor(
    @Inject(BACKOFFICE) private readonly backoffice: Backoffice,
    @Inject(API_OPTIONS) private readonly options: ApiOptions,
  ) {}

  @Post('look')
  @Endpoint(look)
  lookAtLink(@Asked() { body, request }: AskedFor<typeof look>) {
    return lookAtLink(this.backoffice, visitorOf(request), body);
  }

  @Post('accept-invitation')
  @Endpoint(accept)
  async acceptInvitation(@Asked() { body, request, reply }: AskedFor<typeof accept>) {
    const outcome = await acceptInvitation(this.backoffice, visitorOf(request), body);
    return answerSession(outcome, { reply, secure: isSecure(this.options) });
  }

  @Post('set-password')
  @Endpoint(setPassword)
  setPasswordByLink(@Asked() { body, request }: AskedFor<typeof setPassword>) {
    return setPasswordByLink(this.backoffice, visitorOf(request), body);
  }
}
