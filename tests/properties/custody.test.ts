import { randomUUID } from 'node:crypto';
import fc from 'fast-check';
import type { CustodyEvent, MadeKeyCopies, RecordCustody } from '#contracts/custody';
import type { Outcome } from '#contracts/outcome';
import { recordCustody } from '#backoffice/custody/record';
import { makeKeyCopies } from '#backoffice/custody/make-copies';
import { verifyStoredLog } from '#backoffice/evidence/verify-stored';
import { custodyAt } from '#backoffice/key-question/whereabouts.sql';
import { insertPolicy } from '#backoffice/policy/policy.sql';
import { startTestApi, type TestApi } from '#tests/support/api';
import { takes, whereAt, type Attempt, type Party, type Says, type Taken } from '#tests/support/custody-model';
import { keyBooks } from '#tests/support/keys';
import { makePerson, makeSite, nextCode } from '#tests/support/set-up';

// Random events through the use case, on a real database, against a model that keeps nothing but a list.
const RUNS = Number(process.env['CASES'] ?? 3000) / 50;
const MINUTE = 60_000;
const MOMENTS = 60;
/** From then on the policy lets cash-box keys go from hand to hand; what happened before is judged as before, however late it is told. */
const DIRECT_FROM = 8;
const START = Date.parse('2026-03-30T00:00:00Z');
const atMinute = (minute: number): Date => new Date(START + minute * MINUTE);

let api: TestApi;
let parties: (Party & { readonly id: string })[];
let cuts: { id: string }[];
beforeAll(async () => {
  api = await startTestApi();
  const owner = api.operator.as('owner');
  const books = keyBooks(api.operator);
  const site = await makeSite(owner);
  const barkeeper = (await makePerson(owner, { employedBy: 'site', siteId: site.id })).id;
  parties = [
    { name: 'safe', kind: 'store', site: false, id: await books.store() },
    { name: 'van', kind: 'store', site: false, id: await books.store() },
    { name: 'orla', kind: 'person', site: false, id: (await makePerson(owner)).id },
    { name: 'pim', kind: 'person', site: false, id: (await makePerson(owner)).id },
    { name: 'barkeeper', kind: 'person', site: true, id: barkeeper },
    { name: 'hook', kind: 'place', site: true, id: await books.place({ siteId: site.id, responsiblePersonId: barkeeper }) },
  ];
  const effectiveFrom = atMinute(DIRECT_FROM);
  await api.operator.inBooks((tx) =>
    insertPolicy(tx, {
      id: randomUUID(), effective_from: effectiveFrom, direct_hand_over: true, acknowledge_within_hours: 48, inventory_every_months: 3, custodian_apart: true,
      one_person_review_on: null, weigh_within_percent: 25, reason: 'Met on the road', recorded_at: effectiveFrom,
    }),
  );
  cuts = [await books.cut({ class: 'cash-box' }), await books.cut({ class: 'access' })];
});
afterAll(() => api?.close());

const movements = ['issued', 'returned', 'handed-over', 'issued', 'handed-over'] as const;
type Try = { copy: number; says: Says | null; at: number; later: number | null; from: number; honest: boolean; to: number; corrects: number | null; by: number };
const tries: fc.Arbitrary<Try[]> = fc.array(
  fc.record({
    copy: fc.nat(1),
    says: fc.option(fc.constantFrom<Says>(...movements, ...movements, ...movements, 'reported-missing', 'found', 'found', 'found', 'destroyed', 'seen'), { freq: 15 }),
    at: fc.integer({ min: 0, max: MOMENTS + 2 }),
    later: fc.option(fc.integer({ min: 1, max: 3 }), { freq: 3 }),
    from: fc.nat(5),
    honest: fc.option(fc.constant(true), { freq: 8 }).map((honest) => honest === true),
    to: fc.constantFrom(0, 1, 2, 3, 2, 3, 4, 5),
    corrects: fc.option(fc.nat(40), { freq: 3 }),
    by: fc.nat(1),
  }),
  { minLength: 25, maxLength: 45 },
);

/** A cash-box key that goes from hand to hand, and is told late to have done so before that was allowed: rare by chance. */
const fromHandToHand: Try[] = [
  { says: 'issued' as const, at: DIRECT_FROM - 4, to: 2 },
  { says: 'handed-over' as const, at: DIRECT_FROM - 1, to: 3 },
  { says: 'handed-over' as const, at: DIRECT_FROM, to: 3 },
].map((each) => ({ copy: 0, later: null, from: 0, honest: true, corrects: null, by: 0, ...each }));

/** What a try comes to with what is in the books: givers are mostly those who have it, and each kind has its sides. */
function attemptOf(input: Try, taken: readonly Taken[]): Attempt | null {
  const ofCopy = taken.filter(({ copy }) => copy === input.copy);
  const corrected = input.corrects === null ? null : (ofCopy[input.corrects % ofCopy.length] ?? null);
  if (corrected === null && input.says === null) return null;
  // Mostly one thing comes after the other; a correction is mostly about the same time, or a little later.
  const at = input.later === null ? input.at : corrected === null ? Math.max(...ofCopy.map((each) => each.at)) + input.later : corrected.at + input.later - 1;
  const has = whereAt(taken, input.copy, { at: at - 1, known: Infinity });
  const giver = (input.honest ? parties.find(({ name }) => name === has) : undefined) ?? parties[input.from] ?? null;
  const receiver = parties[input.to] ?? null;
  const gives = input.says === 'issued' || input.says === 'returned' || input.says === 'handed-over';
  const says = gives && giver !== null && receiver !== null ? movementOf(giver, receiver) : input.says;
  const noReceiver = says === null || says === 'reported-missing' || says === 'destroyed';
  return { copy: input.copy, says, corrects: corrected?.id ?? null, at, by: input.by, from: gives ? giver : null, to: noReceiver ? null : receiver };
}

function movementOf(giver: Party, receiver: Party): Says {
  if (giver.kind === 'store' && receiver.kind !== 'store') return 'issued';
  return giver.kind !== 'store' && receiver.kind === 'store' ? 'returned' : 'handed-over';
}

function bodyOf(attempt: Attempt, keyCopyId: string): RecordCustody {
  const reference = (party: Party | null) => (party === null ? null : { kind: party.kind, id: parties.find(({ name }) => name === party.name)?.id ?? '' });
  const common = { happenedAt: atMinute(attempt.at).toISOString(), keyCopyIds: [keyCopyId], from: reference(attempt.from), to: reference(attempt.to), reason: 'Random' };
  if (attempt.corrects !== null) return { ...common, kind: 'corrected', correctsId: attempt.corrects, says: attempt.says };
  return { ...common, kind: attempt.says as Exclude<RecordCustody['kind'], 'corrected'> };
}

type Row = { key_copy_id: string; state: string; holder: string | null; held_from: Date; held_to: Date | null; known_from: Date; known_to: Date | null };
const readCustody = (copyIds: readonly string[]): Promise<Row[]> =>
  api.operator.inBooks(async (tx) => (await tx.sql<Row>(
    `SELECT key_copy_id, state, coalesce(person_id, store_id, place_id) AS holder, held_from, held_to, known_from, known_to FROM custody WHERE key_copy_id = ANY ($1::uuid[])`, [copyIds])).rows);

const nameOf = (row: { state: string; holder: string | null }): string => (row.state === 'held' ? (parties.find(({ id }) => id === row.holder)?.name ?? '') : row.state);
const covers = (moment: Date, from: Date, to: Date | null): boolean => from <= moment && (to === null || moment < to);

/** At every moment, as known at every moment: in exactly one place from when it was made, and that is the model's. */
function answers(rows: readonly Row[], copyId: string, known: Date): string[] {
  const believed = rows.filter((row) => row.key_copy_id === copyId && covers(known, row.known_from, row.known_to));
  return Array.from({ length: MOMENTS + 2 }, (_, minute) => {
    const there = believed.filter((row) => covers(atMinute(minute), row.held_from, row.held_to));
    if (there.length > 1) throw new Error(`${there.length} places at once`);
    return there[0] === undefined ? 'nowhere' : nameOf(there[0]);
  });
}

const counts = { direct: 0, taken: 0, refused: 0, late: 0, corrections: 0, changedMinds: 0 };

async function made(): Promise<{ copyIds: string[]; taken: Taken[] }> {
  const caller = api.operator.as('custodian').actor;
  const copyIds: string[] = [];
  const taken: Taken[] = [];
  for (const [copy, cut] of cuts.entries()) {
    const answer: Outcome<MadeKeyCopies> = await makeKeyCopies(api.backoffice, caller, { keyCodeId: cut.id, numbers: [nextCode('R')], storeId: parties[0]?.id ?? '', happenedAt: atMinute(2).toISOString(), reason: 'Random' });
    if (!answer.ok) throw new Error(JSON.stringify(answer.failure));
    copyIds.push(answer.value.items[0]?.id ?? '');
    taken.push({ id: answer.value.eventId, copy, says: 'made', corrects: null, at: 2, known: api.clock.now().getTime(), by: 0, from: null, to: parties[0] ?? null });
  }
  return { copyIds, taken };
}

test('the books take and refuse what the model does, and answer as it does about every moment, as known at any', async () => {
  await fc.assert(
    fc.asyncProperty(tries, async (inputs) => {
      api.clock.advance({ milliseconds: START + MOMENTS * MINUTE - api.clock.now().getTime() });
      const { copyIds, taken } = await made();
      const asTold = new Map<number, string>();
      for (const input of inputs) {
        const attempt = attemptOf(input, taken);
        if (attempt === null) continue;
        api.clock.advance({ milliseconds: 1000 });
        const actor = api.operator.as(attempt.by === 0 ? 'custodian' : 'owner').actor;
        const answer: Outcome<CustodyEvent> = await recordCustody(api.backoffice, actor, bodyOf(attempt, copyIds[attempt.copy] ?? ''));
        const expected = takes(taken, attempt, { cashBox: attempt.copy === 0, directFrom: DIRECT_FROM, now: (api.clock.now().getTime() - START) / MINUTE });
        if (answer.ok !== expected) throw new Error(`${JSON.stringify(attempt)}: the model ${expected ? 'takes' : 'refuses'} it, the books say ${JSON.stringify(answer)}`);
        counts[answer.ok ? 'taken' : 'refused'] += 1;
        if (!answer.ok) continue;
        if (attempt.corrects !== null) counts.corrections += 1;
        else if (attempt.copy === 0 && attempt.says === 'handed-over' && attempt.from?.kind === 'person') counts.direct += 1;
        if (taken.some((each) => each.copy === attempt.copy && each.at > attempt.at)) counts.late += 1;
        taken.push({ ...attempt, id: answer.value.id, known: Date.parse(answer.value.recordedAt) });
        const now = api.clock.now();
        const rows = await readCustody(copyIds);
        asTold.set(now.getTime(), JSON.stringify(copyIds.map((copyId) => answers(rows, copyId, now))));
      }

      const rows = await readCustody(copyIds);
      const told = [...asTold].map(([known, text]) => ({ known, text }));
      for (const { known, text } of told) {
        const again = copyIds.map((copyId) => answers(rows, copyId, new Date(known)));
        // What was answered then about any moment is still the answer about what was believed then.
        expect(JSON.stringify(again)).toBe(text);
        const expected = copyIds.map((_, copy) => Array.from({ length: MOMENTS + 2 }, (__, at) => whereAt(taken, copy, { at, known })));
        expect(again).toEqual(expected);
      }
      if (new Set(told.map(({ text }) => text)).size > 2) counts.changedMinds += 1;
      await answersOfQuestions(copyIds, taken);
    }),
    { numRuns: RUNS, examples: [[fromHandToHand]] },
  );
  expect(Object.entries(counts).filter(([, times]) => times === 0)).toEqual([]);
  expect(counts.taken).toBeGreaterThan(RUNS * 5);

  // The log holds what the books hold, and the books are what their events say.
  const { finding, custody } = await verifyStoredLog(api.db.database, { tenantId: api.operator.tenantId, heldHeads: [], statement: undefined, trust: { anchors: [] } });
  expect([finding.kind, custody]).toEqual(['fits', { kind: 'fits' }]);
}, 240_000);

/** The same by the statement that questions about keys are answered with, at moments drawn from all. */
async function answersOfQuestions(copyIds: readonly string[], taken: readonly Taken[]): Promise<void> {
  await api.operator.inBooks(async (tx) => {
    for (const { known } of taken) {
      for (const [copy, copyId] of copyIds.entries()) {
        const at = (known / 1000) % MOMENTS;
        const { rows } = await tx.sql<{ state: string | null; holder: string | null }>(
          `SELECT held.state, coalesce(held.person_id, held.store_id, held.place_id) AS holder FROM key_copy copy LEFT JOIN LATERAL (${custodyAt('copy', '$3', '$4')}) held ON true
            WHERE copy.tenant_id = $1 AND copy.id = $2`,
          [tx.tenantId, copyId, atMinute(at), new Date(known)],
        );
        const [row] = rows;
        const state = row?.state ?? null;
        expect(state === null ? 'nowhere' : nameOf({ state, holder: row?.holder ?? null })).toBe(whereAt(taken, copy, { at, known }));
      }
    }
  });
}

// 25 CFR 543.24(d)(8)(iv): an inventory is reconciled to the keys made, issued and destroyed.
test('made and duplicated less destroyed are in stores, with holders, or missing: nothing is anywhere else', async () => {
  const { rows } = await api.operator.inBooks((tx) =>
    tx.sql<{ begun: bigint; ended: bigint; stored: bigint; held: bigint; missing: bigint }>(
      `SELECT (SELECT count(*) FROM key_copy) AS begun,
              count(*) FILTER (WHERE state = 'destroyed') AS ended, count(*) FILTER (WHERE store_id IS NOT NULL) AS stored,
              count(*) FILTER (WHERE num_nonnulls(person_id, place_id) = 1) AS held, count(*) FILTER (WHERE state = 'missing') AS missing
         FROM custody WHERE held_to IS NULL AND known_to IS NULL`,
    ),
  );
  const [sum] = rows;
  if (sum === undefined) throw new Error('no sum');
  expect(sum.begun - sum.ended).toBe(sum.stored + sum.held + sum.missing);
  expect(sum.begun).toBeGreaterThan(0n);
});
