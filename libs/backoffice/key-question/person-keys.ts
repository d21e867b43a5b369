import { formatInstant } from '#contracts/format';
import type { MomentQuery, OwnKeys, PersonKeys } from '#contracts/key-question';
import type { KeyPerson } from '#contracts/key-whereabouts';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { policyAt } from '../policy/policy';
import type { HoldingRow } from './holdings.sql';
import { momentOf, type Moment } from './moment';
import { selectKeyPeople } from './openers.sql';
import { selectHeldBy, selectKeptBy, selectOpened, selectStores } from './person-keys.sql';
import { planOnce } from './plan-once.sql';
import { csvTable } from '../csv';
import { toWhereabouts } from './whereabouts.sql';

type Asked = MomentQuery & { readonly id: string };

/** Keys that a person has at hand at a moment, and every lock that these fit. */
export async function readPersonKeys(deps: Backoffice, caller: Caller, query: Asked): Promise<Outcome<PersonKeys>> {
  return perform(deps, caller, 'key-reach.read', async ({ tx, now }) => {
    const answer = await keysOf(tx, { ...momentOf(query, now), personId: query.id });
    return answer === null ? refused('not-found') : done(answer);
  });
}

/**
 * The same for whoever asks: the account says which person of the operator it belongs to. Nobody else's keys are in it, and
 * a site manager learns what opens at their own sites only.
 */
export async function readOwnKeys(deps: Backoffice, caller: Caller, query: MomentQuery): Promise<Outcome<OwnKeys>> {
  return perform<OwnKeys>(deps, caller, 'own-keys.read', async ({ tx, now, visibleSites }) => {
    const sites = visibleSites();
    const moment = momentOf(query, now);
    const personId = caller.kind === 'user' ? caller.personId : null;
    const answer = personId === null ? null : await keysOf(tx, { ...moment, personId });
    const handsOn: OwnKeys['handsOn'] = sites === 'every' && (await policyAt(tx, now)).directHandOver ? ['access', 'cash-box'] : ['access'];
    if (answer === null) return done({ ...clocks(moment), person: null, copies: [], stores: [], opens: [], handsOn });
    const isSeen = (siteId: string | null | undefined): boolean => sites === 'every' || siteId === undefined || siteId === null || sites.includes(siteId);
    return done({
      ...answer,
      copies: answer.copies.filter(({ where }) => isSeen(where.holder?.siteId)),
      opens: answer.opens.filter(({ siteId }) => sites === 'every' || (siteId !== null && isSeen(siteId))),
      handsOn,
    });
  });
}

const columns = ['copy', 'code', 'class', 'outside_copies', 'via', 'kept_in', 'since', 'due_back', 'machine', 'lock', 'opens', 'site', 'site_name'] as const;

/** One line per copy and lock that it fits; a copy that fits none has a line of its own. */
export async function exportPersonKeys(deps: Backoffice, caller: Caller, query: Asked): Promise<Outcome<{ bytes: Buffer; fileName: string }>> {
  return perform(deps, caller, 'key-reach.read', async ({ tx, now }) => {
    const answer = await keysOf(tx, { ...momentOf(query, now), personId: query.id });
    if (answer === null) return refused('not-found');
    const lines = answer.copies.flatMap((copy) => {
      const held = {
        copy: copy.number,
        code: copy.code,
        class: copy.class,
        outside_copies: copy.outsideCopies ? 'yes' : 'no',
        via: copy.via,
        kept_in: copy.where.holder?.kind === 'person' ? null : copy.where.holder?.code,
        since: copy.where.since,
        due_back: copy.where.dueBackAt,
      };
      const fitting = answer.opens.filter(({ numbers }) => numbers.includes(copy.number));
      if (fitting.length === 0) return [held];
      return fitting.map((lock) => ({ ...held, machine: lock.machineTag, lock: lock.place, opens: lock.opens, site: lock.siteCode, site_name: lock.siteName }));
    });
    return done({ bytes: Buffer.from(csvTable({ columns }, lines)), fileName: `keys-of-${(answer.person?.code ?? '').toLowerCase()}.csv` });
  });
}

async function keysOf(tx: TenantTransaction, query: Moment & { personId: string }): Promise<(PersonKeys & { person: KeyPerson }) | null> {
  await planOnce(tx);
  const [person] = await selectKeyPeople(tx, [query.personId]);
  if (person === undefined) return null;
  const kept = await selectKeptBy(tx, query);
  const places = new Map(kept.flatMap(({ holder_id, as }) => (as === 'custodian' ? [] : [[holder_id, as] as const])));
  const held = await selectHeldBy(tx, { ...query, holderIds: [query.personId, ...places.keys()] });
  const stores = await selectStores(tx, { ...query, storeIds: kept.flatMap(({ holder_id, as }) => (as === 'custodian' ? [holder_id] : [])) });
  const numbers = new Map<string, string[]>();
  for (const copy of held) numbers.set(copy.key_code_id, [...(numbers.get(copy.key_code_id) ?? []), copy.number]);
  const opened = await selectOpened(tx, { ...query, keyCodeIds: [...numbers.keys()] });
  return {
    ...clocks(query),
    person,
    copies: held.map((copy) => toCopy(copy, places.get(copy.holder_id) ?? 'holds')),
    stores: stores.map(({ id, code, name, copies }) => ({ store: { kind: 'store', id, code, name, siteId: null, siteCode: null }, copies })),
    opens: opened.map(({ keyCodeId, ...lock }) => ({ ...lock, numbers: numbers.get(keyCodeId) ?? [] })),
  };
}

function toCopy(row: HoldingRow, via: PersonKeys['copies'][number]['via']): PersonKeys['copies'][number] {
  return {
    keyCopyId: row.key_copy_id,
    number: row.number,
    keyCodeId: row.key_code_id,
    code: row.code,
    class: row.class,
    outsideCopies: row.outside_copies,
    via,
    where: toWhereabouts(row),
  };
}

function clocks(moment: Moment): { at: string; knownAt: string } {
  return { at: formatInstant(moment.at), knownAt: formatInstant(moment.knownAt) };
}
