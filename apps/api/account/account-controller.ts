import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { changePassword } from '#backoffice/identity/change-password';
import { chooseLanguage } from '#backoffice/identity/choose-language';
import { confirmSecondFactor } from '#backoffice/identity/confirm-second-factor';
import { toAccount } from '#backoffice/identity/open-session';
import { proposeSecondFactor } from '#backoffice/identity/propose-second-factor';
import { removeSecondFactor } from '#backoffice/identity/remove-second-factor';
import {
  accountSchema,
  changePasswordSchema,
  chooseLanguageSchema,
  confirmedFactorSchema,
  confirmFactorSchema,
  proposedFactorSchema,
  proposeFactorSchema,
  removeFactorSchema,
} from '#contracts/account';
import { done } from '#contracts/outcome';
import { sessionSecretIn } from '../authentication/cookie';
import { answerSession } from '../authentication/session-answer';
import { visitorOf } from '../authentication/visitor';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { API_OPTIONS, BACKOFFICE, isSecure, type ApiOptions } from '../options';

const read = { access: 'account', summary: 'Say who is signed in, and at which operators they are what', answer: accountSchema } as const;
const password = { access: 'account', guessable: true, summary: 'Change the password, which closes every other session', body: changePasswordSchema, answer: accountSchema, problems: ['sign-in-refused', 'sign-in-locked', 'password-too-weak'] } as const;
const language = { access: 'account', summary: 'Choose the language of the console', body: chooseLanguageSchema, answer: accountSchema } as const;
const propose = { access: 'account', guessable: true, summary: 'Begin setting up a second factor', body: proposeFactorSchema, answer: proposedFactorSchema, problems: ['sign-in-refused', 'sign-in-locked', 'wrong-state'] } as const;
const confirm = { access: 'account', guessable: true, summary: 'Put the second factor in force', body: confirmFactorSchema, answer: confirmedFactorSchema, problems: ['second-factor-wrong', 'wrong-state'] } as const;
const remove = { access: 'account', guessable: true, summary: 'Remove the second factor', body: removeFactorSchema, answer: accountSchema, problems: ['sign-in-refused', 'second-factor-wrong', 'sign-in-locked', 'wrong-state'] } as const;

@Controller('v1/account')
export class AccountController {
  constructor(
    @Inject(BACKOFFICE) private readonly backoffice: Backoffice,
    @Inject(API_OPTIONS) private readonly options: ApiOptions,
  ) {}

  @Get()
  @Endpoint(read)
  async readAccount(@Asked() { signedIn, request }: AskedFor<typeof read>) {
    return done(toAccount(signedIn, sessionSecretIn(request, isSecure(this.options)) ?? ''));
  }

  @Post('password')
  @Endpoint(password)
  async changePassword(@Asked() { body, signedIn, request, reply }: AskedFor<typeof password>) {
    const outcome = await changePassword(this.backoffice, visitorOf(request), { signedIn, ...body });
    return answerSession(outcome, { reply, secure: isSecure(this.options) });
  }

  @Post('language')
  @Endpoint(language)
  async chooseLanguage(@Asked() { body, signedIn, request }: AskedFor<typeof language>) {
    const outcome = await chooseLanguage(this.backoffice, visitorOf(request), { signedIn, ...body });
    return outcome.ok ? done(toAccount(outcome.value, sessionSecretIn(request, isSecure(this.options)) ?? '')) : outcome;
  }

  @Post('second-factor')
  @Endpoint(propose)
  proposeSecondFactor(@Asked() { body, signedIn, request }: AskedFor<typeof propose>) {
    return proposeSecondFactor(this.backoffice, visitorOf(request), { signedIn, ...body });
  }

  @Post('second-factor/confirm')
  @Endpoint(confirm)
  async confirmSecondFactor(@Asked() { body, signedIn, request, reply }: AskedFor<typeof confirm>) {
    const outcome = await confirmSecondFactor(this.backoffice, visitorOf(request), { signedIn, ...body });
    if (!outcome.ok) return outcome;
    const account = answerSession(done(outcome.value.session), { reply, secure: isSecure(this.options) });
    return account.ok ? done({ recoveryCodes: outcome.value.recoveryCodes, account: account.value }) : account;
  }

  @Post('second-factor/remove')
  @Endpoint(remove)
  async removeSecondFactor(@Asked() { body, signedIn, request, reply }: AskedFor<typeof remove>) {
    const outcome = await removeSecondFactor(this.backoffice, visitorOf(request), { signedIn, ...body });
    return answerSession(outcome, { reply, secure: isSecure(this.options) });
  }
}
