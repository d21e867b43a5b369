/** What each account of the chart is for, in the words of the trade. */
import type { AccountCode } from '#domain/journal/accounts';

export const accountMeanings: { readonly [code in AccountCode]: string } = {
  'cash-with-collector': 'Notes and coins that a collector has taken out of the boxes and not handed in yet.',
  'cash-in-counting-room': 'Notes and coins in the counting room.',
  'cash-in-float': 'Money that lies in a changer or a coin tube so that it can give change.',
  bank: 'Money in a bank account of the operator.',
  'other-means': 'Money paid or received neither in cash nor through the bank, until it is cleared there.',
  'card-receivable': 'Card takings that the card company still has to pay.',
  'takings-to-settle': 'Takings of accepted collections that no settlement has divided yet. Nothing is left once the period is issued.',
  'cash-handed': 'Cash that a payee was handed or kept at a collection, until a settlement sets it off.',
  'payable-to-payee': 'What the operator owes a payee by issued settlements and has not paid. A debit balance: the payee owes it.',
  'advance-to-payee': 'Advances given to a payee that are not worked off yet.',
  'tax-payable': 'Tax that settlements took out of the takings and that is still to be filed and paid.',
  'tax-due': 'Tax that filed returns declare and that is still to be paid to the authority.',
  'tax-difference': 'Rounding, negative bases and timing between the tax in settlements and the tax on the filed return.',
  'losses-carried': 'Losses of an agreement that open its next period.',
  'refunds-advanced-by-operator': 'Refunds to players that the operator paid and gets back out of the takings.',
  'tokens-redeemed': 'Tokens counted as takings at the value that the agreement gives them.',
  'operator-share': 'The operator’s share of what was left to divide.',
  'operator-charges': 'Charges that the operator took before the split.',
  'operator-tax': 'Tax that the operator bears out of its own share.',
  'break-in-loss': 'Stolen cash that the operator makes good.',
  'cash-over-and-short': 'Differences between the cash that was counted and the cash that should be there.',
  'cash-rounding': 'Differences from paying in coins larger than the smallest unit.',
  'written-off': 'What the operator has given up claiming, less what it no longer has to pay.',
};
