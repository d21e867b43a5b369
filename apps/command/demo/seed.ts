import { randomBytes } from 'node:crypto';
import { noSecrets, type Backoffice } from '#backoffice/dependencies';
import type { Caller } from '#backoffice/caller';
import type { WorkDeps } from '#backoffice/close/work';
import { changeOperator } from '#backoffice/operator/change';
import { changeMember } from '#backoffice/identity/change-member';
import { readMember } from '#backoffice/identity/list-members';
import { createOperator } from '#backoffice/operator/create';
import { closeDatabase, createDatabase } from '#database/tenant';
import { isLocalDate, type LocalDate } from '#domain/calendar/local-date';
import { systemClock } from '#runtime/clock';
import { newId } from '#runtime/ids';
import { readMasterKeyFile } from '#runtime/master-key-file';
import { operatorSecretsUnder } from '#runtime/operator-secrets';
import type { DemoSignIn, SeedDemo } from '../demo-data';
import { bankAccountEvents, passMailsOver } from './bank-accounts';
import { keepBooks } from './books';
import { bringToBank } from './cash';
import { expectDone } from './expect-done';
import { keyEvents } from './key-events';
import { meterEvents, meteringOf } from './metering';
import { paymentEvents } from './payments';
import { refundClaimEvents } from './refund-claims';
import { readBefore, roundEvents } from './rounds';
import { accept, addMember, newPassword, type DemoMember } from './people';
import { setUp } from './set-up';
import { visitsOf } from './visits';
import { makeWorld, type DemoOperator } from './world';

/** Everything but dates and random secrets follows from it. */
const SEED = 'first harvest';
const MONTHS = 14;
const CONNECTIONS = 4;

type MovableClock = { readonly now: () => Date; readonly goTo: (day: LocalDate) => void };

/**
 * Fills an empty database with two invented operators and fourteen months of business, through the use cases, with the
 * clock set on the days on which things happened. Both operators at once: their rows never meet.
 */
export const seedDemo: SeedDemo = async ({ appUrl, masterKeyFile, publicUrl, log }) => {
  const masterKeys = readMasterKeyFile(masterKeyFile);
  if (!masterKeys.ok) throw new Error(masterKeys.message);
  const today = systemClock.now().toISOString().slice(0, 10);
  if (!isLocalDate(today)) throw new Error(`The clock of this machine shows ${today}`);
  const database = createDatabase({ appUrl, poolSize: CONNECTIONS, applicationName: 'latchledger demo' });
  try {
    log('demo: inventing two operators with fourteen months of business');
    const world = makeWorld(SEED, { today, monthsBack: MONTHS });
    const operatorSecrets = operatorSecretsUnder(masterKeys.keys);
    const signIns = await Promise.all(world.map((operator) => seedOperator({ database, publicUrl, operatorSecrets, operator, today })));
    await passMailsOver({ database, clock: systemClock });
    return signIns.flat();
  } finally {
    await closeDatabase(database);
  }
};

type Place = { database: Backoffice['database']; publicUrl: string; operatorSecrets: Backoffice['operatorSecrets']; operator: DemoOperator; today: LocalDate };

async function seedOperator(place: Place): Promise<DemoSignIn[]> {
  const { operator, today } = place;
  const clock = movableClock(operator.startsOn);
  const deps: Backoffice & WorkDeps = {
    database: place.database,
    publicUrl: place.publicUrl,
    clock,
    newId,
    randomBytes,
    ...noSecrets,
    operatorSecrets: place.operatorSecrets,
    onBug: ({ error }) => {
      throw error;
    },
  };
  const founder = await foundOperator(deps, operator);
  const ids = await setUp(deps, founder.caller, operator);
  const owner = { ...founder, caller: await bindOwner(deps, founder.caller, ids.people.get('OFFICE-1') ?? '') };
  const others: DemoSignIn[] = [];
  const callers = new Map<string, Caller>();
  const accounts = new Map<string, Caller>();
  for (const member of membersOf(operator, ids)) {
    const added = await addMember(deps, owner.caller, member, { operatorName: operator.name, password: newPassword() });
    others.push(added.signIn);
    callers.set(member.role, added.caller);
    if (member.personId !== null) accounts.set(member.personId, added.caller);
  }
  const callerOf = (role: string): Caller => {
    const caller = callers.get(role);
    if (caller === undefined) throw new Error(`${operator.name} has no ${role}`);
    return caller;
  };
  const [bookkeeper, custodian, collector, siteManager] = [callerOf('bookkeeper'), callerOf('custodian'), callerOf('collector'), callerOf('site-manager')];
  const visits = visitsOf(SEED, operator, today);
  const recorded = meteringOf(operator, visits, today);
  const metering = { ...recorded, readings: new Map([...recorded.readings, ...readBefore({ operator, visits, today })]) };
  const meanwhile = [
    ...keyEvents({ deps, operator, ids, owner: owner.caller, custodian, accounts }, today),
    ...bankAccountEvents({ deps, bookkeeper, owner: owner.caller, operator, ids }, today),
    ...paymentEvents({ deps, bookkeeper, operator, ids }, today),
    ...meterEvents({ deps, operator, ids, bookkeeper, metering, today }),
    ...refundClaimEvents({ deps, operator, ids, siteManager }, today),
    ...roundEvents({ deps, operator, ids, visits, bookkeeper, collector, today, now: systemClock.now() }),
  ];
  await keepBooks({ deps, bookkeeper, owner: owner.caller, operator, ids, visits, metering, meanwhile: meanwhile.sort((one, other) => (one.on < other.on ? -1 : 1)), today, goTo: clock.goTo });
  await bringToBank({ deps, bookkeeper, operator, now: systemClock.now() });
  return [owner.signIn, ...others];
}

/** What `npm run operator:create` does, and the first owner coming in by the link that it prints. */
async function foundOperator(deps: Backoffice, operator: DemoOperator): Promise<{ caller: Caller & { kind: 'user' }; signIn: DemoSignIn }> {
  const { code, name, country, currency, timeZone, locale } = operator;
  const email = `owner@${code}.example`;
  const created = expectDone(await createOperator(deps, { code, name, country, currency, timeZone, locale, email }), `found ${name}`);
  const password = newPassword();
  const id = await accept(deps, { address: created.invitation.address ?? '', name: operator.ownerName, password });
  const caller = { kind: 'user', tenantId: created.operator.id, id, role: 'owner', siteIds: [], personId: null } as const;
  const { paper, csvDecimal } = operator;
  const settings = { paper, csvDecimal, addressLines: [...operator.addressLines], expectedRevision: created.operator.revision };
  expectDone(await changeOperator(deps, caller, settings), `set up ${name}`);
  return { caller, signIn: { operator: name, role: 'owner', email, password } };
}

/** Says whose account the owner's is. */
async function bindOwner(deps: Backoffice, owner: Caller & { kind: 'user' }, personId: string): Promise<Caller> {
  const { revision } = expectDone(await readMember(deps, owner, { id: owner.id }), 'read the owner');
  expectDone(await changeMember(deps, owner, { id: owner.id, expectedRevision: revision, role: 'owner', personId, siteIds: [] }), 'say whose account the owner’s is');
  return { ...owner, personId };
}

function membersOf(operator: DemoOperator, ids: { sites: ReadonlyMap<string, string>; people: ReadonlyMap<string, string> }): DemoMember[] {
  const [site] = operator.sites;
  const [collector] = operator.collectors;
  if (site === undefined || collector === undefined) throw new Error(`${operator.name} has no site or nobody who collects`);
  const member = (role: DemoMember['role'], name: string, rest: Partial<DemoMember> = {}): DemoMember => ({ role, name, email: `${role}@${operator.code}.example`, personId: null, siteIds: [], ...rest });
  return [
    member('bookkeeper', operator.bookkeeperName, { personId: ids.people.get('OFFICE-2') ?? null }),
    member('collector', collector.name, { personId: ids.people.get(collector.code) ?? null }),
    member('site-manager', site.manager.name, { personId: ids.people.get(site.manager.code) ?? null, siteIds: [ids.sites.get(site.code) ?? ''] }),
    member('custodian', operator.custodian.name, { personId: ids.people.get(operator.custodian.code) ?? null }),
    member('auditor', operator.auditorName),
  ];
}

function movableClock(start: LocalDate): MovableClock {
  let day = start;
  const startedAt = systemClock.now().getTime();
  return {
    // Moments of one day stay in the order in which they happen.
    now: () => new Date(Date.parse(`${day}T12:00:00Z`) + (systemClock.now().getTime() - startedAt)),
    goTo: (next) => {
      day = next;
    },
  };
}
