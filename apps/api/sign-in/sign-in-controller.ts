import { Controller, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { giveSecondFactor } from '#backoffice/identity/give-second-factor';
import { signIn } from '#backoffice/identity/sign-in';
import { signOut } from '#backoffice/identity/sign-out';
import { accountSchema, giveSecondFactorSchema, signInSchema } from '#contracts/account';
import { clearSessionCookie } from '../authentication/cookie';
import { answerSession } from '../authentication/session-answer';
import { visitorOf } from '../authentication/visitor';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { API_OPTIONS, BACKOFFICE, isSecure, type ApiOptions } from '../options';

const enter = { access: 'public', guessable: true, summary: 'Sign in with e-mail address and password', body: signInSchema, answer: accountSchema, problems: ['sign-in-refused', 'sign-in-locked', 'cross-site-request'] } as const;
const code = { access: 'account', guessable: true, summary: 'Give the code of the second factor', body: giveSecondFactorSchema, answer: accountSchema, problems: ['second-factor-wrong', 'sign-in-locked', 'wrong-state'] } as const;
const leave = { access: 'account', summary: 'Sign out', status: 204 } as const;
const leaveEverywhere = { access: 'account', summary: 'Sign out of every session of this account', status: 204 } as const;

/** Sessions come by cookie alone; no answer holds their secret. */
@Controller('v1')
export class SignInController {
  constructor(
    @Inject(BACKOFFICE) private readonly backoffice: Backoffice,
    @Inject(API_OPTIONS) private readonly options: ApiOptions,
  ) {}

  @Post('sign-in')
  @Endpoint(enter)
  async signIn(@Asked() { body, request, reply }: AskedFor<typeof enter>) {
    return answerSession(await signIn(this.backoffice, visitorOf(request), body), { reply, secure: isSecure(this.options) });
  }

  @Post('sign-in/second-factor')
  @Endpoint(code)
  async giveSecondFactor(@Asked() { body, signedIn, request, reply }: AskedFor<typeof code>) {
    const outcome = await giveSecondFactor(this.backoffice, visitorOf(request), { signedIn, ...body });
    return answerSession(outcome, { reply, secure: isSecure(this.options) });
  }

  @Post('sign-out')
  @Endpoint(leave)
  async signOut(@Asked() { signedIn, request, reply }: AskedFor<typeof leave>) {
    clearSessionCookie(reply, isSecure(this.options));
    return signOut(this.backoffice, visitorOf(request), { signedIn, everywhere: false });
  }

  @Post('sign-out/everywhere')
  @Endpoint(leaveEverywhere)
  async signOutEverywhere(@Asked() { signedIn, request, reply }: AskedFor<typeof leaveEverywhere>) {
    const outcome = await signOut(this.backoffice, visitorOf(request), { signedIn, everywhere: true });
    if (outcome.ok) clearSessionCookie(reply, isSecure(this.options));
    return outcome;
  }
}
