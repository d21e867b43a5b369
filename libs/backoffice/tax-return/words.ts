import type { DifferenceCause } from '#domain/tax-return/types';

/** Why the tax of a return is not what settlements booked, as a bookkeeper would say it. */
export const differenceWords: { readonly [cause in DifferenceCause]: string } = {
  rounding: 'The return rounds one sum over all sites; settlements round each of theirs.',
  'negative-bases': 'Takings below zero lower the sum of the return; settlements give no tax back. What was carried of it is in here, too.',
  'not-settled': 'Takings of the month that no numbered settlement has taken in yet.',
  timing: 'The site is not settled by calendar months: its periods that end in the month hold takings of another, or the other way round.',
  'settled-otherwise': 'Settled by what held or was known then: a rule or a term has changed since, or the agreement had tax of its own to carry.',
};
