import { randomUUID } from 'node:crypto';
import type { TenantTransaction } from '#database/tenant';
import { timelineOf, type CustodyFact, type CustodyKind, type Holder } from '#domain/keys/custody';
import type { TestClient, TestOperator } from './api';
import { nextCode } from './set-up';

type Books = Pick<TestOperator, 'inBooks'>;
export type KeyCopyOfTest = { readonly id: string; readonly number: string; readonly keyCodeId: string };
type Cut = { readonly id: string; readonly code: string; readonly class: 'access' | 'cash-box' };

export const heldBy = (id: string): Holder => ({ kind: 'person', id });
export const inStore = (id: string): Holder => ({ kind: 'store', id });
export const atPlace = (id: string): Holder => ({ kind: 'place', id });

/** Says of an account whose it is. */
export async function bindToPerson(owner: TestClient, member: { accountId: string; role: string; personId: string; siteIds?: readonly string[] }): Promise<void> {
  const { revision } = (await owner.get(`/v1/members/${member.accountId}`).expect(200)).body as { revision: number };
  const { role, personId, siteIds = [] } = member;
  await owner.put(`/v1/members/${member.accountId}`, { role, personId, siteIds }).set('If-Match', `"${revision}"`).expect(200);
}

/**
 * Keys written straight into the tables, as of any moment and as recorded at any moment, which no route allows: questions
 * about the past need a past.
 */
export function keyBooks(operator: Books) {
  const facts = new Map<string, CustodyFact[]>();
  const run = (text: string, values: readonly unknown[]) => operator.inBooks((tx) => tx.sql(text.replace('TENANT', `'${tx.tenantId}'`), values));
  return {
    cut: async (input: { class: Cut['class']; outsideCopies?: boolean; code?: string }): Promise<Cut> => {
      const cut = { id: randomUUID(), code: input.code ?? nextCode('CUT'), class: input.class };
      await run('INSERT INTO key_code (tenant_id, id, code, class, outside_copies, created_at) VALUES (TENANT, $1, $2, $3, $4, now())', [cut.id, cut.code, cut.class, input.outsideCopies ?? false]);
      return cut;
    },
    lock: async (input: { machineId: string; cut: Cut; opens: 'play-area' | 'cash-box' | 'everything'; place?: string; fittedAt: string; removedAt?: string; recordedAt?: string; removalRecordedAt?: string }): Promise<string> => {
      const id = randomUUID();
      const end = input.removedAt === undefined ? [null, null, null, null] : [input.removedAt, input.removalRecordedAt ?? input.removedAt, 'system:test', 'Changed'];
      await run(
        `INSERT INTO machine_lock (tenant_id, id, machine_id, place, opens, class, key_code_id, fitted_at, recorded_at, recorded_by, removed_at, removal_recorded_at, removal_recorded_by, removal_reason)
         VALUES (TENANT, $1, $2, $3, $4, $5, $6, $7, $8, 'system:test', $9, $10, $11, $12)`,
        [id, input.machineId, input.place ?? input.opens, input.opens, input.cut.class, input.cut.id, input.fittedAt, input.recordedAt ?? input.fittedAt, ...end],
      );
      return id;
    },
    store: async (code = nextCode('SAFE')): Promise<string> => {
      const id = randomUUID();
      await run(`INSERT INTO key_store (tenant_id, id, code, name, kind, created_at) VALUES (TENANT, $1, $2, 'Office safe', 'safe', now())`, [id, code]);
      return id;
    },
    custodian: (input: { storeId: string; personId: string; from: string; to?: string; recordedAt?: string; endRecordedAt?: string }) =>
      run('INSERT INTO key_custodian (tenant_id, id, key_store_id, person_id, started_at, ended_at, recorded_at, end_recorded_at) VALUES (TENANT, $1, $2, $3, $4, $5, $6, $7)', [
        randomUUID(), input.storeId, input.personId, input.from, input.to ?? null, input.recordedAt ?? input.from, input.endRecordedAt ?? input.to ?? null,
      ]),
    place: async (input: { siteId: string; responsiblePersonId: string; code?: string }): Promise<string> => {
      const id = randomUUID();
      await operator.inBooks(async (tx) => {
        await tx.sql(`INSERT INTO key_place (tenant_id, id, site_id, code, name, created_at) VALUES ($1, $2, $3, $4, 'Hook behind the bar', now())`, [tx.tenantId, id, input.siteId, input.code ?? nextCode('HOOK')]);
        await tx.sql('INSERT INTO key_place_responsible (tenant_id, id, key_place_id, person_id, recorded_at) VALUES ($1, $2, $3, $4, $5)', [tx.tenantId, randomUUID(), id, input.responsiblePersonId, '2020-01-01T00:00:00Z']);
      });
      return id;
    },
    /** Somebody else answers for a place from a moment on. */
    responsible: (input: { placeId: string; personId: string; since: string; recordedAt?: string }) =>
      operator.inBooks(async (tx) => {
        const recordedAt = input.recordedAt ?? input.since;
        await tx.sql('UPDATE key_place_responsible SET ended_at = $3, end_recorded_at = $4 WHERE tenant_id = $1 AND key_place_id = $2 AND ended_at IS NULL', [tx.tenantId, input.placeId, input.since, recordedAt]);
        await tx.sql('INSERT INTO key_place_responsible (tenant_id, id, key_place_id, person_id, started_at, recorded_at) VALUES ($1, $2, $3, $4, $5, $6)', [
          tx.tenantId, randomUUID(), input.placeId, input.personId, input.since, recordedAt,
        ]);
      }),
    placeUser: (input: { placeId: string; personId: string; from: string; to?: string }) =>
      run('INSERT INTO key_place_user (tenant_id, id, key_place_id, person_id, started_at, ended_at, recorded_at, end_recorded_at) VALUES (TENANT, $1, $2, $3, $4, $5, $4, $5)', [randomUUID(), input.placeId, input.personId, input.from, input.to ?? null]),
    /** A copy that was made and put into a store. */
    copy: async (input: { cut: Cut; storeId: string; madeAt: string; number?: string }): Promise<KeyCopyOfTest> => {
      const copy = { id: randomUUID(), number: input.number ?? nextCode('K'), keyCodeId: input.cut.id };
      await run('INSERT INTO key_copy (tenant_id, id, number, key_code_id, class, created_at) VALUES (TENANT, $1, $2, $3, $4, now())', [copy.id, copy.number, input.cut.id, input.cut.class]);
      await happen(copy, { says: 'made', at: input.madeAt, to: inStore(input.storeId) });
      return copy;
    },
    happen,
    /** Everything that was recorded about a copy, in the order of recording. */
    factsOf: (copy: KeyCopyOfTest): readonly CustodyFact[] => facts.get(copy.id) ?? [],
  };

  /** Records an event about a copy and derives where it was anew; gives the event's id. */
  async function happen(
    copy: KeyCopyOfTest,
    event: { says: CustodyKind | null; at: string; recordedAt?: string; from?: Holder; to?: Holder; corrects?: string; dueBackAt?: string; acknowledgeBy?: string },
  ): Promise<string> {
    const recordedAt = event.recordedAt ?? event.at;
    const fact = { eventId: randomUUID(), says: event.says, correctsId: event.corrects ?? null, happenedAt: Date.parse(event.at), recordedAt: Date.parse(recordedAt), to: event.to ?? null };
    const all = [...(facts.get(copy.id) ?? []), fact];
    facts.set(copy.id, all);
    await operator.inBooks(async (tx) => {
      await insertEvent(tx, copy, { ...event, fact, recordedAt });
      await derive(tx, copy, { facts: all, recordedAt });
    });
    return fact.eventId;
  }
}

async function insertEvent(
  tx: TenantTransaction,
  copy: KeyCopyOfTest,
  event: { fact: CustodyFact; recordedAt: string; at: string; from?: Holder; dueBackAt?: string; acknowledgeBy?: string },
): Promise<void> {
  const { fact } = event;
  const side = (holder: Holder | null | undefined) => (['person', 'store', 'place'] as const).map((kind) => (holder?.kind === kind ? holder.id : null));
  const acknowledged = ['issued', 'returned', 'handed-over'].includes(fact.says ?? '');
  await tx.sql(
    `INSERT INTO custody_event (tenant_id, id, kind, says, happened_at, recorded_at, recorded_by, reason, corrects_id, due_back_at, acknowledge_by,
                                from_person_id, from_store_id, from_place_id, to_person_id, to_store_id, to_place_id)
     VALUES ($1, $2, $3, $4, $5, $6, 'system:test', 'Test', $7, $8, $9, $10, $11, $12, $13, $14, $15)`,
    [tx.tenantId, fact.eventId, fact.correctsId === null ? fact.says : 'corrected', fact.says, event.at, event.recordedAt, fact.correctsId, event.dueBackAt ?? null, acknowledged ? (event.acknowledgeBy ?? event.at) : null, ...side(event.from), ...side(fact.to)],
  );
  await tx.sql('INSERT INTO custody_event_copy (tenant_id, event_id, key_copy_id) VALUES ($1, $2, $3)', [tx.tenantId, fact.eventId, copy.id]);
}

/** Ends what is no longer believed and adds what is; what stays so is left alone. */
async function derive(tx: TenantTransaction, copy: KeyCopyOfTest, input: { facts: readonly CustodyFact[]; recordedAt: string }): Promise<void> {
  const timeline = timelineOf(input.facts);
  if (!timeline.ok) throw new Error(`the events of ${copy.number} do not fit: ${timeline.problem.code}`);
  const { rows } = await tx.sql<{ id: string; event_id: string; held_from: Date; held_to: Date | null }>(
    'SELECT id, event_id, held_from, held_to FROM custody WHERE tenant_id = $1 AND key_copy_id = $2 AND known_to IS NULL',
    [tx.tenantId, copy.id],
  );
  const text = (each: { eventId: string; from: number; to: number | null }): string => [each.eventId, each.from, each.to].join(' ');
  const believed = new Map(rows.map((row) => [text({ eventId: row.event_id, from: row.held_from.getTime(), to: row.held_to?.getTime() ?? null }), row.id]));
  const wanted = new Set(timeline.intervals.map(text));
  const outdated = [...believed].filter(([key]) => !wanted.has(key)).map(([, id]) => id);
  await tx.sql('UPDATE custody SET known_to = $3 WHERE tenant_id = $1 AND id = ANY ($2::uuid[])', [tx.tenantId, outdated, input.recordedAt]);
  for (const interval of timeline.intervals.filter((each) => !believed.has(text(each)))) {
    const { where } = interval;
    const holder = (kind: Holder['kind']) => (where.state === 'held' && where.holder.kind === kind ? where.holder.id : null);
    await tx.sql(
      `INSERT INTO custody (tenant_id, id, key_copy_id, key_code_id, event_id, state, person_id, store_id, place_id, held_from, held_to, known_from)
       VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)`,
      [tx.tenantId, randomUUID(), copy.id, copy.keyCodeId, interval.eventId, where.state, holder('person'), holder('store'), holder('place'),
        new Date(interval.from), interval.to === null ? null : new Date(interval.to), input.recordedAt],
    );
  }
}
