import { z } from 'zod';
import { roles } from '#domain/permissions/role';
import { emailSchema, idSchema, nameSchema } from './format';

/** Signing in, and what a signed-in person can do about their own account. */

/** Looser than what a new password must be: rules may have changed since the old one was chosen. */
const givenPasswordSchema = z.string().min(1).max(200);
export const newPasswordSchema = z.string().min(1).max(200).describe('At least 12 characters, none of the choices everybody makes. Any characters, also spaces.');
const linkSecretSchema = z.string().min(20).max(200).describe('What the link has after its #.');
const codeOfFactorSchema = z.string().trim().min(6).max(40).describe('Six digits of the authenticator app, or a recovery code.');

export const roleSchema = z.enum(roles).describe('What a member of an operator is there for.');

export const signInSchema = z.strictObject({ email: emailSchema, password: givenPasswordSchema });
export type SignIn = z.infer<typeof signInSchema>;

export const giveSecondFactorSchema = z.strictObject({ code: codeOfFactorSchema });
export type GiveSecondFactor = z.infer<typeof giveSecondFactorSchema>;

export const accountOperatorSchema = z.strictObject({
  id: idSchema,
  code: z.string(),
  name: z.string(),
  role: roleSchema,
  personId: idSchema.nullable(),
  siteIds: z.array(idSchema).describe('The sites that a site manager is bound to; empty for other roles.'),
  secondFactorRequired: z.boolean(),
});

export const consoleLanguageSchema = z.enum(['en', 'de', 'es']);

export const accountSchema = z
  .strictObject({
    id: idSchema,
    email: z.string(),
    name: z.string(),
    language: consoleLanguageSchema.nullable().describe('Language of the console; null until one was chosen.'),
    secondFactor: z
      .enum(['none', 'awaited', 'given'])
      .describe('`awaited`: the password was right, now give the code. `none`: the account has no second factor.'),
    operators: z.array(accountOperatorSchema).describe('Empty while the second factor is awaited.'),
    csrf: z.string().describe('Send it as `Latchledger-Csrf` with every request that changes something.'),
  })
  .meta({ id: 'Account' });
export type Account = z.infer<typeof accountSchema>;

export const changePasswordSchema = z.strictObject({ currentPassword: givenPasswordSchema, newPassword: newPasswordSchema });
export type ChangePassword = z.infer<typeof changePasswordSchema>;

export const chooseLanguageSchema = z.strictObject({ language: consoleLanguageSchema.describe('Language of the console.') });
export type ChooseLanguage = z.infer<typeof chooseLanguageSchema>;

export const proposeFactorSchema = z.strictObject({ password: givenPasswordSchema });
export type ProposeFactor = z.infer<typeof proposeFactorSchema>;

export const proposedFactorSchema = z.strictObject({
  secret: z.string().describe('To type into an authenticator app, base32.'),
  address: z.string().describe('The same as an `otpauth:` address, for a QR code.'),
});
export type ProposedFactor = z.infer<typeof proposedFactorSchema>;

export const confirmFactorSchema = z.strictObject({ code: codeOfFactorSchema });
export type ConfirmFactor = z.infer<typeof confirmFactorSchema>;

export const confirmedFactorSchema = z.strictObject({
  recoveryCodes: z.array(z.string()).describe('Each replaces the second factor once. Shown this one time.'),
  account: accountSchema,
});
export type ConfirmedFactor = z.infer<typeof confirmedFactorSchema>;

export const removeFactorSchema = z.strictObject({ password: givenPasswordSchema, code: codeOfFactorSchema });
export type RemoveFactor = z.infer<typeof removeFactorSchema>;

export const lookAtLinkSchema = z.strictObject({ secret: linkSecretSchema });
export type LookAtLink = z.infer<typeof lookAtLinkSchema>;

export const linkSchema = z.strictObject({
  kind: z.enum(['invitation', 'new-password']),
  operatorName: z.string(),
  email: z.string(),
  hasAccount: z.boolean().describe('The address has an account already: accept with its password.'),
});
export type Link = z.infer<typeof linkSchema>;

export const acceptInvitationSchema = z.strictObject({
  secret: linkSecretSchema,
  name: nameSchema.optional().describe('Needed for a new account.'),
  password: newPasswordSchema.describe('The password of the existing account, or the one of the new account.'),
});
export type AcceptInvitation = z.infer<typeof acceptInvitationSchema>;

export const setPasswordByLinkSchema = z.strictObject({ secret: linkSecretSchema, password: newPasswordSchema });
export type SetPasswordByLink = z.infer<typeof setPasswordByLinkSchema>;
