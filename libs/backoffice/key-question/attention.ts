import { formatInstant } from '#contracts/format';
import type { KeyAttention, MomentQuery } from '#contracts/key-question';
import type { KeyHolder } from '#contracts/key-whereabouts';
import { done, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { isReviewDue, mayActAlone, policyAt, relaxedInWords, type PolicyRules } from '../policy/policy';
import { selectBreaches, selectCollectingCustodians, selectMissing, selectOverdue, selectUnacknowledged, selectWithoutAccessKey, type UnacknowledgedRow, type UncoveredRow } from './attention.sql';
import { momentOf, type Moment } from './moment';
import { csvTable } from '../csv';
import { toWhereabouts } from './whereabouts.sql';

/** Keys that are missing, overdue, unconfirmed, or at a site where they must not be, and sites whose staff cannot open a machine. */
export async function readKeyAttention(deps: Backoffice, caller: Caller, query: MomentQuery): Promise<Outcome<KeyAttention>> {
  return perform(deps, caller, 'key-attention.read', async ({ tx, now }) => done(await attentionOf(tx, momentOf(query, now))));
}

const columns = ['what', 'copies', 'code', 'class', 'from', 'from_name', 'with', 'with_name', 'since', 'due', 'late', 'site', 'site_name', 'machine', 'has_access_lock', 'denied_by', 'denied_how'] as const;

export async function exportKeyAttention(deps: Backoffice, caller: Caller, query: MomentQuery): Promise<Outcome<{ bytes: Buffer; fileName: string }>> {
  return perform(deps, caller, 'key-attention.read', async ({ tx, now }) => {
    const answer = await attentionOf(tx, momentOf(query, now));
    const lines = [
      ...answer.missing.map((each) => ({ what: 'missing', copies: each.number, code: each.code, class: each.class, from: each.lastHolder?.code, from_name: each.lastHolder?.name, since: each.since })),
      ...answer.overdue.map((each) => ({ what: 'overdue', copies: each.number, code: each.code, class: each.class, with: each.holder.code, with_name: each.holder.name, since: each.since, due: each.dueBackAt })),
      ...answer.breaches.map((each) => ({ what: 'breach', copies: each.number, code: each.code, class: 'cash-box', with: each.holder.code, with_name: each.holder.name, since: each.since, due: each.putRightBy, late: each.late ? 'yes' : 'no' })),
      ...answer.unacknowledged.map((each) => ({
        what: 'unacknowledged',
        copies: each.numbers.join(' '),
        from: each.from?.code,
        from_name: each.from?.name,
        with: each.to?.code,
        with_name: each.to?.name,
        since: each.happenedAt,
        due: each.acknowledgeBy,
        late: each.late ? 'yes' : 'no',
        // In the same order, where both did.
        denied_by: each.deniedBy.map(({ side }) => side).join(' '),
        denied_how: each.deniedBy.map(({ how }) => how).join(' '),
      })),
      ...answer.withoutAccessKey.flatMap((site) =>
        site.machines.map((machine) => ({ what: 'no-access-key', site: site.siteCode, site_name: site.siteName, machine: machine.machineTag, has_access_lock: machine.hasAccessLock ? 'yes' : 'no' })),
      ),
      ...answer.custodiansWhoCollect.map((each) => ({ what: 'custodian-collects', from: each.store.code, from_name: each.store.name, with: each.person.code, with_name: each.person.name, since: each.since })),
      ...(answer.onePersonReview === null ? [] : [{ what: 'one-person-review', due: answer.onePersonReview.reviewOn, late: 'yes' }]),
    ];
    return done({ bytes: Buffer.from(csvTable({ columns }, lines)), fileName: 'keys-to-look-after.csv' });
  });
}

async function attentionOf(tx: TenantTransaction, moment: Moment): Promise<KeyAttention> {
  const missing = await selectMissing(tx, moment);
  const overdue = await selectOverdue(tx, moment);
  const breaches = await selectBreaches(tx, moment);
  const unacknowledged = await selectUnacknowledged(tx, moment);
  const uncovered = await selectWithoutAccessKey(tx, moment);
  const rules = await policyAt(tx, moment.at, moment);
  return {
    at: formatInstant(moment.at),
    knownAt: formatInstant(moment.knownAt),
    missing: missing.map((row) => ({
      keyCopyId: row.key_copy_id,
      number: row.number,
      code: row.code,
      class: row.class,
      since: formatInstant(row.missing_since),
      lastHolder: holderOf(row.holder_kind, [row.holder_id, row.holder_code, row.holder_name, row.holder_site_id, row.holder_site_code]),
    })),
    overdue: overdue.flatMap((row) => {
      const { holder, since } = toWhereabouts(row);
      if (holder === null) return [];
      return [{ keyCopyId: row.key_copy_id, number: row.number, code: row.code, class: row.class, holder, since, dueBackAt: formatInstant(row.due_back_at) }];
    }),
    breaches: breaches.flatMap((row) => {
      const { holder, since } = toWhereabouts(row);
      if (holder === null) return [];
      return [{ keyCopyId: row.key_copy_id, number: row.number, code: row.code, holder, since, putRightBy: formatInstant(row.breach_due_at), late: row.breach_due_at <= moment.at }];
    }),
    unacknowledged: unacknowledged.map((row) => toUnacknowledged(row, moment.at)),
    withoutAccessKey: sitesOf(uncovered),
    custodiansWhoCollect: await custodiansWhoCollect(tx, { moment, rules }),
    onePersonReview: await reviewDue(tx, { at: moment.at, rules }),
  };
}

/** Nobody is told to put right what the policy allows. */
async function custodiansWhoCollect(tx: TenantTransaction, of: { moment: Moment; rules: PolicyRules }): Promise<KeyAttention['custodiansWhoCollect']> {
  if (!of.rules.custodianApart || (await mayActAlone(tx, of.rules))) return [];
  return (await selectCollectingCustodians(tx, of.moment)).flatMap((row) => {
    const store = holderOf('store', [row.store_id, row.store_code, row.store_name, null, null]);
    const person = holderOf('person', [row.person_id, row.person_code, row.person_name, null, null]);
    return store === null || person === null ? [] : [{ store, person, since: formatInstant(row.started_at) }];
  });
}

async function reviewDue(tx: TenantTransaction, of: { at: Date; rules: PolicyRules }): Promise<KeyAttention['onePersonReview']> {
  const reviewOn = of.rules.onePersonReviewOn;
  return reviewOn !== null && (await isReviewDue(tx, { reviewOn, at: of.at })) ? { reviewOn, relaxed: relaxedInWords(of.rules) } : null;
}

function toUnacknowledged(row: UnacknowledgedRow, at: Date): KeyAttention['unacknowledged'][number] {
  return {
    eventId: row.event_id,
    kind: row.says,
    numbers: row.numbers,
    from: holderOf(row.from_kind, [row.from_id, row.from_code, row.from_name, row.from_site_id, row.from_site_code]),
    to: holderOf(row.to_kind, [row.to_id, row.to_code, row.to_name, row.to_site_id, row.to_site_code]),
    happenedAt: formatInstant(row.happened_at),
    acknowledgeBy: formatInstant(row.acknowledge_by),
    late: row.acknowledge_by <= at,
    deniedBy: row.denied_by,
  };
}

type Named = readonly [id: string | null, code: string | null, name: string | null, siteId: string | null, siteCode: string | null];

export function holderOf(kind: KeyHolder['kind'] | null, [id, code, name, siteId, siteCode]: Named): KeyHolder | null {
  return kind === null || id === null || code === null || name === null ? null : { kind, id, code, name, siteId, siteCode };
}

function sitesOf(rows: readonly UncoveredRow[]): KeyAttention['withoutAccessKey'] {
  const bySite = new Map<string, UncoveredRow[]>();
  for (const row of rows) bySite.set(row.site_id, [...(bySite.get(row.site_id) ?? []), row]);
  return [...bySite.values()].flatMap((machines) => {
    const [first] = machines;
    if (first === undefined) return [];
    return [
      {
        siteId: first.site_id,
        siteCode: first.site_code,
        siteName: first.site_name,
        none: machines.length === first.site_machines,
        machines: machines.map((row) => ({ machineId: row.machine_id, machineTag: row.machine_tag, hasAccessLock: row.has_access_lock })),
      },
    ];
  });
}
