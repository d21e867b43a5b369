/**
 * Questions about keys over a long history, each against reading as many rows of custody by primary key on the same
 * connection, and whether ten times the history makes them slower.
 */
import { selectToConfirm } from '#backoffice/custody/to-confirm.sql';
import { selectBreaches, selectMissing, selectOverdue, selectUnacknowledged } from '#backoffice/key-question/attention.sql';
import { openersOf } from '#backoffice/key-question/openers';
import { selectHoldings } from '#backoffice/key-question/holdings.sql';
import type { Moment } from '#backoffice/key-question/moment';
import { planOnce } from '#backoffice/key-question/plan-once.sql';
import { closeDatabase, createDatabase, withTenant, type TenantTransaction } from '#database/tenant';
import { writeKeyHistory, type KeyHistory, type KeyHistorySize } from '#tests/support/key-history';
import { withMigratedServer } from '#tests/support/migrated-server';

type Figures = {
  /** Milliseconds at the 99th percentile, and over that of the look-ups beside them. */
  readonly milliseconds: number;
  readonly ratio: number;
  readonly rows: number;
};
type Question = 'holdsNow' | 'personHoldsNow' | 'heldAt' | 'personHeldAt' | 'personHeldAtAsKnownThen' | 'couldOpen' | 'toConfirm' | 'unconfirmedNow' | 'unconfirmedAt' | 'missingNow' | 'missingAt' | 'overdueNow' | 'overdueAt' | 'breachesNow' | 'breachesAt' | 'missingAsKnownThen';
type Answers = { readonly [question in Question]: Figures };

export type KeysBench = { readonly copies: number; readonly events: number } & Answers & {
    /** The ratio with ten times the history of the same copies, over that without: whatever else the machine does meets both sides. */
    readonly tenTimesTheHistory: { readonly [question in Question]: number };
  };

const COPIES = Number(process.env['KEY_COPIES'] ?? 200_000);
const EVENTS_PER_COPY = Number(process.env['KEY_EVENTS_PER_COPY'] ?? 5);
const SAMPLES = Number(process.env['KEY_SAMPLES'] ?? 2000);

export async function benchKeys(): Promise<KeysBench> {
  const answers = await measure({ copies: COPIES, eventsPerCopy: EVENTS_PER_COPY });
  const tenth = Math.ceil(COPIES / 10);
  const short = await measure({ copies: tenth, eventsPerCopy: EVENTS_PER_COPY });
  const long = await measure({ copies: tenth, eventsPerCopy: EVENTS_PER_COPY * 10 });
  const questions = Object.keys(answers) as Question[];
  const tenTimesTheHistory = Object.fromEntries(questions.map((question) => [question, long[question].ratio / short[question].ratio])) as KeysBench['tenTimesTheHistory'];
  return { copies: COPIES, events: COPIES * EVENTS_PER_COPY, ...answers, tenTimesTheHistory };
}

async function measure(size: KeyHistorySize): Promise<Answers> {
  let answers: Answers | undefined;
  await withMigratedServer(async (server) => {
    const superuser = new URL(server.superuserUrl);
    superuser.pathname = new URL(server.urls.app).pathname;
    const database = createDatabase({ appUrl: server.urls.app, poolSize: 1 });
    const history = await writeKeyHistory({ name: 'keys', database, urls: { ...server.urls, superuser: superuser.toString() }, drop: () => Promise.resolve() }, size);
    answers = await withTenant(database, { tenantId: history.tenantId, kind: 'system', id: 'bench' }, (tx) => askAll(tx, history));
    await closeDatabase(database);
  });
  if (answers === undefined) throw new Error('nothing was measured');
  return answers;
}

async function askAll(tx: TenantTransaction, history: KeyHistory): Promise<Answers> {
  await planOnce(tx);
  const ids = async (text: string): Promise<string[]> => (await tx.sql<{ id: string }>(text, [tx.tenantId])).rows.map(({ id }) => id);
  const codes = await ids('SELECT id FROM key_code WHERE tenant_id = $1');
  const people = await ids(`SELECT id FROM person WHERE tenant_id = $1 AND code LIKE 'E-%'`);
  const machines = await ids('SELECT id FROM machine WHERE tenant_id = $1');
  const custody = await ids('SELECT id FROM custody WHERE tenant_id = $1 ORDER BY md5(id::text) LIMIT 200000');
  const span = history.until.getTime() - history.from.getTime();
  const then = (part: number): Date => new Date(history.from.getTime() + Math.floor(span * part));
  const now: Moment = { at: history.until, knownAt: history.until, asOf: 'now' };
  const past = (part: number): Moment => ({ at: then(part), knownAt: history.until, asOf: 'known-now' });
  const holdings = async (moment: Moment, filter: { keyCodeId: string } | { personId: string }): Promise<number> =>
    (await selectHoldings(tx, { ...moment, personId: null, storeId: null, keyCodeId: null, class: null, heldAtSiteIds: null, opensAtSiteId: null, after: null, limit: null, ...filter })).length;
  const context = { tx, custody };
  // Half past some hour, when only who is slow has not confirmed what happened at the full one, and only some are late.
  const halfPast = (random: () => number): Moment => ({ ...past(0), at: new Date(Math.floor(then(random() * 0.9).getTime() / 3_600_000) * 3_600_000 + 1_800_000) });
  return {
    holdsNow: await against(context, (random) => holdings(now, { keyCodeId: oneOf(codes, random) })),
    personHoldsNow: await against(context, (random) => holdings(now, { personId: oneOf(people, random) })),
    heldAt: await against(context, (random) => holdings(past(random()), { keyCodeId: oneOf(codes, random) })),
    personHeldAt: await against(context, (random) => holdings(past(random()), { personId: oneOf(people, random) })),
    personHeldAtAsKnownThen: await against(context, async (random) => {
      const at = then(random());
      return holdings({ at, knownAt: at }, { personId: oneOf(people, random) });
    }),
    couldOpen: await against(context, async (random) => {
      const from = then(random() * 0.9);
      const answer = await openersOf(tx, { machineId: oneOf(machines, random), opens: 'cash-box', from, before: new Date(from.getTime() + 7_200_000), knownAt: history.until });
      return answer?.people.reduce((sum, { reasons }) => sum + reasons.length, 0) ?? 0;
    }),
    toConfirm: await against(context, async (random) => (await selectToConfirm(tx, oneOf(people, random))).length),
    unconfirmedNow: await against(context, async () => (await selectUnacknowledged(tx, now)).length),
    unconfirmedAt: await against(context, async (random) => (await selectUnacknowledged(tx, halfPast(random))).length),
    missingNow: await against(context, async () => (await selectMissing(tx, now)).length),
    missingAt: await against(context, async (random) => (await selectMissing(tx, halfPast(random))).length),
    missingAsKnownThen: await against(context, async (random) => {
      const { at } = halfPast(random);
      return (await selectMissing(tx, { at, knownAt: at })).length;
    }),
    overdueNow: await against(context, async () => (await selectOverdue(tx, now)).length),
    overdueAt: await against(context, async (random) => (await selectOverdue(tx, halfPast(random))).length),
    breachesNow: await against(context, async () => (await selectBreaches(tx, now)).length),
    breachesAt: await against(context, async (random) => (await selectBreaches(tx, halfPast(random))).length),
  };
}

/** Question and look-up by turns, so that whatever else the machine does meets both. */
async function against(context: { tx: TenantTransaction; custody: readonly string[] }, question: (random: () => number) => Promise<number>): Promise<Figures> {
  const random = randomNumbers(7);
  const [asked, floor]: [number[], number[]] = [[], []];
  let rows = 0;
  for (let sample = -50; sample < SAMPLES; sample += 1) {
    const startedAt = performance.now();
    const found = await question(random);
    const answeredAt = performance.now();
    const wanted = Array.from({ length: found }, () => oneOf(context.custody, random));
    const lookedUpAt = performance.now();
    await context.tx.sql('SELECT * FROM custody WHERE tenant_id = $1 AND id = ANY ($2::uuid[])', [context.tx.tenantId, wanted]);
    // The first ones plan the statements.
    if (sample < 0) continue;
    asked.push(answeredAt - startedAt);
    floor.push(performance.now() - lookedUpAt);
    rows += found;
  }
  return { milliseconds: percentile99(asked), ratio: percentile99(asked) / percentile99(floor), rows: Math.round(rows / SAMPLES) };
}

function oneOf(list: readonly string[], random: () => number): string {
  const chosen = list[Math.floor(random() * list.length)];
  if (chosen === undefined) throw new Error('nothing to choose from');
  return chosen;
}

/** The same numbers in every run (Lehmer's generator, modulus 2^31 - 1). */
function randomNumbers(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 48_271) % 2_147_483_647;
    return state / 2_147_483_647;
  };
}

function percentile99(values: readonly number[]): number {
  return [...values].sort((first, second) => first - second)[Math.floor(values.length * 0.99)] ?? 0;
}
