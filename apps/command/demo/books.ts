import { createVersion } from '#backoffice/agreement/versions';
import type { Caller } from '#backoffice/caller';
import type { Backoffice } from '#backoffice/dependencies';
import { issueClose, reviewClose } from '#backoffice/close/go-on';
import { numberBatch } from '#backoffice/close/number-batch';
import { reviewBatch } from '#backoffice/close/review-batch';
import { settleBatch } from '#backoffice/close/settle-batch';
import { startClose } from '#backoffice/close/start';
import type { WorkDeps } from '#backoffice/close/work';
import { waitingBatches, type BatchTask } from '#backoffice/close/batch.sql';
import { acceptImport } from '#backoffice/import/accept';
import { stageImport } from '#backoffice/import/stage';
import { explainFlag } from '#backoffice/variance/explain';
import { readVarianceMonth } from '#backoffice/variance/month';
import { replaceInstallation } from '#backoffice/installation/replace';
import { movePlacement } from '#backoffice/placement/move';
import { withTenant } from '#database/tenant';
import { addDays, type LocalDate } from '#domain/calendar/local-date';
import { periodContaining } from '#domain/calendar/periods';
import { expectDone } from './expect-done';
import { fileOf } from './file';
import type { DemoMetering } from './metering';
import type { DemoIds } from './set-up';
import { termsDocument } from './terms';
import type { DemoEvent, DemoVisit } from './visits';
import type { DemoOperator } from './world';

export type Books = {
  readonly deps: Backoffice & WorkDeps;
  readonly bookkeeper: Caller;
  /** Who explains what a count was short or over of its meters: the bookkeeper entered the counts. */
  readonly owner: Caller;
  readonly operator: DemoOperator;
  readonly ids: DemoIds;
  readonly visits: readonly DemoVisit[];
  readonly metering: DemoMetering;
  /** What else happened, in order of days. */
  readonly meanwhile: readonly DemoEvent[];
  readonly today: LocalDate;
  /** Sets the clock on noon UTC of that day: what is entered then is recorded then. */
  readonly goTo: (day: LocalDate) => void;
};

type Days = { readonly from: LocalDate; readonly until: LocalDate };

/**
 * Enters the operator's months in the order in which they happened. Every period is closed some days after its end, but
 * for the last whole one, which is left for whoever looks around. A few visits come in only after their period was closed.
 */
export async function keepBooks(books: Books): Promise<void> {
  const { operator, visits, today } = books;
  let late: DemoVisit[] = [];
  let waiting = books.meanwhile;
  for (let period = periodContaining(operator.cycle, operator.startsOn); period.from <= today; period = periodContaining(operator.cycle, period.until)) {
    const within = (day: LocalDate): boolean => day >= period.from && day < period.until;
    const isLastWhole = periodContaining(operator.cycle, period.until).until > today;
    const closedOn = addDays(period.until, 4);
    waiting = await enterUntil(books, waiting, closedOn > today ? today : closedOn);
    await changeThings(books, period);
    const own = visits.filter((visit) => within(visit.on) && visit.counts.length > 0);
    const held = isLastWhole ? [] : own.filter((visit) => visit.late);
    await enter(books, `collections ${period.from}.csv`, [...own.filter((visit) => !held.includes(visit))]);
    await enter(books, `late, before ${period.from}.csv`, late);
    late = held;
    if (!isLastWhole && period.until <= today) await close(books, period);
  }
}

/** Comes to a day, entering on the way what happened before it; gives what is still to come. */
async function enterUntil({ goTo }: Books, waiting: readonly DemoEvent[], day: LocalDate): Promise<readonly DemoEvent[]> {
  for (const event of waiting.filter(({ on }) => on <= day)) {
    goTo(event.on);
    await event.enter();
  }
  goTo(day);
  return waiting.filter(({ on }) => on > day);
}

/** Moves, changed games and new terms of the period. */
async function changeThings({ deps, bookkeeper, operator, ids }: Books, period: Days): Promise<void> {
  const within = (day: LocalDate): boolean => day >= period.from && day < period.until;
  for (const site of operator.sites) {
    for (const { from, terms } of site.terms.slice(1).filter((version) => within(version.from))) {
      const document = termsDocument(operator, terms, { ownerId: ids.owners.get(site.code) ?? '' });
      const version = { agreementId: ids.agreements.get(site.code) ?? '', effectiveFrom: from, terms: document, confirmRetroactive: false };
      expectDone(await createVersion(deps, bookkeeper, version), `change the terms of ${site.code}`);
    }
    for (const { tag, move, games } of site.machines) {
      const change = games[1];
      if (change !== undefined && within(change.from)) {
        const command = { installationId: ids.installations.get(tag) ?? '', gameId: ids.games.get(change.code) ?? '', replacedOn: change.from };
        expectDone(await replaceInstallation(deps, bookkeeper, command), `change the game of ${tag}`);
      }
      if (move !== null && within(move.on)) {
        const command = { placementId: ids.placements.get(tag) ?? '', siteId: ids.sites.get(move.toSiteCode) ?? '', movedOn: move.on };
        expectDone(await movePlacement(deps, bookkeeper, command), `move ${tag}`);
      }
    }
  }
}

async function enter({ deps, bookkeeper, operator, metering }: Books, fileName: string, visits: readonly DemoVisit[]): Promise<void> {
  if (visits.length === 0) return;
  const bytes = [new TextEncoder().encode(fileOf(operator, visits, metering.readings))];
  const staged = expectDone(await stageImport(deps, bookkeeper, { fileName, bytes: asStream(bytes) }), `upload ${fileName}`);
  if (staged.state !== 'staged') throw new Error(`The demo's file ${fileName} has errors: ${JSON.stringify(staged.errorCounts)}`);
  expectDone(await acceptImport(deps, bookkeeper, staged.id), `accept ${fileName}`);
}

async function* asStream(chunks: readonly Uint8Array[]): AsyncGenerator<Uint8Array> {
  yield* chunks;
}

/** As far as the numbers. The pages of old statements follow when the worker runs: it finds them waiting. */
async function close(books: Books, period: Days): Promise<void> {
  const { deps, bookkeeper, operator } = books;
  const run = expectDone(await startClose(deps, bookkeeper, { cycle: operator.cycle.kind, startsOn: period.from }), `close ${period.from}`);
  await workThrough(books, 'settle');
  await explain(books, period);
  expectDone(await reviewClose(deps, bookkeeper, { id: run.id }), `review ${period.from}`);
  await workThrough(books, 'review');
  expectDone(await issueClose(deps, bookkeeper, run.id), `issue ${period.from}`);
  await workThrough(books, 'number');
}

/** Differences of periods that are closed were looked into: what is left open is of the last ones. */
async function explain({ deps, owner, ids, metering }: Books, period: Days): Promise<void> {
  if (period.until <= metering.fittedOn) return;
  const siteId = ids.sites.get(metering.site.code) ?? '';
  const months = new Set([addDays(period.from, -1), period.from, addDays(period.until, -1)].map((day) => day.slice(0, 7)));
  for (const month of months) {
    const { flags } = expectDone(await readVarianceMonth(deps, owner, { month, siteId }), `look at the variances of ${month}`);
    for (const { id } of flags.filter(({ state, localDate }) => state === 'open' && localDate < period.until)) {
      expectDone(await explainFlag(deps, owner, { id, cause: 'counting-error', evidence: 'Counted again by two people.' }), 'explain a difference');
    }
  }
}

const workers = { settle: settleBatch, review: reviewBatch, number: numberBatch } as const;

async function workThrough({ deps, bookkeeper }: Books, task: Exclude<BatchTask, 'render'>): Promise<void> {
  const { tenantId } = bookkeeper;
  const soon = new Date(deps.clock.now().getTime() + 1);
  const batches = await withTenant(deps.database, { tenantId, kind: 'system', id: 'demo' }, (tx) => waitingBatches(tx, soon));
  for (const batch of batches) if (batch.task === task) await workers[task](deps, { tenantId, batchId: batch.id });
}
