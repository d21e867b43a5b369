import type { Advance, GiveAdvance } from '#contracts/advance';
import { toAmount } from '#contracts/money';
import { done, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { advancePaid } from '#domain/journal/entries';
import type { Caller } from '../caller';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { postEntries } from '../journal/post';
import { lockAccount, type Account } from '../payment/account.sql';
import { placeOf, refusedBooking, wrongBooking } from '../payment/record';
import { perform } from '../perform';
import { otherCurrency, taken } from '../refusal';
import { onlyRow } from '../rows';
import { limitsAtSite } from '../tax/limits-at-site';
import { insertAdvance, readAdvance, type NewAdvance } from './advance.sql';
import { advanceBodies } from './to-advance';

/**
 * Records money that a payee was given in advance. Settlements of periods that end after it keep it back from the payee's
 * share as the terms say. Refused where the law of the place allows no advances on the day on which it is given.
 */
export function giveAdvance(deps: Backoffice, caller: Caller, command: GiveAdvance): Promise<Outcome<Advance>> {
  return perform<Advance>(
    deps,
    caller,
    'advance.give',
    async ({ tx, now }) => {
      const account = await lockAccount(tx, command.agreementId);
      if (account === undefined) return refusedFields('invalid-command', [{ path: ['agreementId'], code: 'unknown', message: 'There is no agreement with this id.' }]);
      const wrong = [...wrongAdvance(command, account, now), ...(await againstTheLaw(tx, command, account))];
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const closed = await refusedBooking(tx, { day: command.givenOn, field: 'givenOn', bookedOn: command.accountingDate });
      if (closed !== null) return closed;
      const given = newAdvance(command, account, command.id ?? deps.newId());
      await insertAdvance(tx, given, now);
      const head = { id: deps.newId(), date: given.accountingDate, currency: given.currency, sourceId: given.id };
      await postEntries(tx, { entries: [advancePaid(head, { party: given.partyId, amountMinor: given.amountMinor, from: placeOf(given.method) })], recordedAt: now });
      const row = await readAdvance(tx, given.id);
      return done(onlyRow(await advanceBodies(tx, row === undefined ? [] : [row], { ownSites: false, on: null })));
    },
    { constraints: { advance_pkey: taken(['id'], 'an advance with this id') } },
  );
}

function newAdvance(command: GiveAdvance, account: Account, id: string): NewAdvance {
  return {
    id,
    agreementId: account.agreement_id,
    siteId: account.site_id,
    partyId: command.partyId ?? account.party_id,
    currency: account.currency,
    amountMinor: toAmount(command.amount).minor,
    method: command.method,
    reason: command.reason,
    document: command.document ?? '',
    givenOn: command.givenOn,
    accountingDate: command.accountingDate ?? command.givenOn,
  };
}

function wrongAdvance(command: GiveAdvance, account: Account, now: Date): WrongField[] {
  const wrong: WrongField[] = [];
  const { partyId, amount, givenOn } = command;
  if (partyId !== undefined && partyId !== account.party_id && !account.other_party_ids.includes(partyId)) {
    wrong.push({ path: ['partyId'], code: 'no-payee', message: 'The agreement does not name this party.' });
  }
  if (amount.currency !== account.currency) {
    wrong.push(otherCurrency(['amount', 'currency'], `Site ${account.site_code} is kept in`, account.currency));
  }
  const today = localDay({ instant: now, timeZone: account.time_zone });
  if (today === null || givenOn > today) wrong.push({ path: ['givenOn'], code: 'in-the-future', message: 'Only what has been given is recorded.' });
  else wrong.push(...wrongBooking({ day: givenOn, bookedOn: command.accountingDate, today }));
  return wrong;
}

async function againstTheLaw(tx: TenantTransaction, { givenOn }: GiveAdvance, account: Account): Promise<WrongField[]> {
  const limits = await limitsAtSite(tx, { siteId: account.site_id, on: givenOn });
  return limits
    .filter((limit) => limit.kind === 'no-advances')
    .map(({ source }) => ({ path: ['givenOn'], code: 'law-no-advances', message: `Advances to a site are not allowed on this day (${source}).` }));
}
