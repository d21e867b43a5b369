import { randomBytes } from 'node:crypto';
import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import { SALT_BYTES, type CustodyAcknowledged, type CustodyRecorded } from '#domain/evidence/leaf';
import { isAcknowledged } from '#domain/keys/event-sides';
import { lockLog } from '../evidence/append';
import { openCasesOfMissing } from '../key-case/open';
import type { PerformOptions } from '../perform';
import { isCorrectedAlone, policyAt } from '../policy/policy';
import { labelRelaxed } from '../policy/policy.sql';
import { fieldFailure, taken } from '../refusal';
import { announce } from '../webhook/announce.sql';
import { insertAcknowledgement, insertEvent, selectCorrected, selectSpeakers, shareRing, type EventRecord } from './event.sql';
import { acknowledgementEntry, custodyEntry } from './leaf';
import type { BookedCopy, Checked, NewCustodyEvent, Recording, Subject } from './new-event';
import { lockCopies, saveTimelines, selectFacts } from './timeline.sql';
import { changedTimelines, factOf } from './wrong-history';
import { wrongFieldsOfKind, wrongShape } from './wrong-shape';
import { passesCustodianBy, wrongParties } from './wrong-party';

const HOUR_MS = 60 * 60 * 1000;

/** For use cases that record events: what two at once can only learn from the database. */
export const custodyConstraints: NonNullable<PerformOptions<unknown>['constraints']> = {
  custody_event_pkey: taken(['id'], 'an event with this id'),
  custody_event_copy_corrected_once: { code: 'changed-meanwhile' },
  custody_cash_box_key_not_to_a_site: fieldFailure('invalid-command', { path: ['to'], code: 'cash-box-key-to-site', message: 'A cash-box key is given to no one at a site.' }),
};

/**
 * Records events one after the other: the only way into the books of custody. All copies are locked first, in the order of
 * their ids, so that of two hand-overs of one copy the second finds the giver without it. What cannot have happened is
 * refused by field, and then nothing is recorded. Call it last in a transaction: it ends by taking the lock on the evidence
 * log, behind which nothing is waited for. Gives the ids of the events.
 */
export async function recordEvents(recording: Recording, commands: readonly NewCustodyEvent[]): Promise<Outcome<string[]>> {
  const written = await writeEvents(recording, commands);
  if (!written.ok) return written;
  await enterInLog(recording, written.value.entries);
  return done(written.value.ids);
}

export type CustodyEntry = CustodyRecorded | CustodyAcknowledged;

/**
 * What {@link recordEvents} does before it comes to the evidence log. Whoever calls this gives the entries to
 * {@link enterInLog} as the last thing of the transaction, or undoes what was written.
 */
export async function writeEvents(recording: Recording, commands: readonly NewCustodyEvent[]): Promise<Outcome<{ ids: string[]; entries: CustodyEntry[] }>> {
  const subjects: Subject[] = [];
  for (const command of commands) {
    const subject = await subjectOf(recording, command);
    if (!subject.ok) return subject;
    subjects.push(subject.value);
  }
  const books = await readBooks(recording, subjects);
  const entries: CustodyEntry[] = [];
  const ids: string[] = [];
  for (const subject of subjects) {
    const written = await writeEvent(recording, { subject, books });
    if (!written.ok) return written;
    entries.push(...written.value.entries);
    ids.push(written.value.id);
  }
  return done({ ids, entries });
}

/** Appends to the evidence log, and holds it until the transaction ends. */
export async function enterInLog({ tx, now }: Recording, entries: readonly CustodyEntry[]): Promise<void> {
  const log = await lockLog(tx, { now: () => now, randomBytes });
  await log.append(entries.map((entry) => ({ subjectId: entry.eventId, entry })));
}

async function subjectOf({ tx, now }: Recording, command: NewCustodyEvent): Promise<Outcome<Subject>> {
  const wrong = wrongFieldsOfKind(command);
  if (wrong.length > 0) return refusedAt(command, wrong);
  if (command.keyRingId !== undefined) {
    const copyIds = await shareRing(tx, { id: command.keyRingId, at: command.happenedAt ?? now });
    if (copyIds === null) return refusedAt(command, [{ path: ['keyRingId'], code: 'unknown', message: 'There is no ring with this id.' }]);
    if (copyIds.length === 0) return refusedAt(command, [{ path: ['keyRingId'], code: 'empty', message: 'No key hung on this ring then.' }]);
    return done({ command, copyIds, corrected: null });
  }
  if (command.correctsId === undefined) return done({ command, copyIds: command.keyCopyIds ?? [], corrected: null });
  const corrected = await selectCorrected(tx, command.correctsId);
  if (corrected === null) return refusedAt(command, [{ path: ['correctsId'], code: 'unknown', message: 'There is no event with this id.' }]);
  const copyIds = command.keyCopyIds ?? corrected.copy_ids.filter((id) => !corrected.corrected_ids.includes(id));
  if (copyIds.length === 0 || copyIds.some((id) => corrected.corrected_ids.includes(id))) {
    return refused('wrong-state', { detail: 'This event was corrected already: correct the one that stands in its place.' });
  }
  const others = copyIds.flatMap((id, index): WrongField[] =>
    corrected.copy_ids.includes(id) ? [] : [{ path: ['keyCopyIds', index], code: 'unknown', message: 'The event is not about a copy with this id.' }],
  );
  return others.length > 0 ? refusedAt(command, others) : done({ command, copyIds, corrected });
}

async function readBooks({ tx }: Recording, subjects: readonly Subject[]): Promise<Map<string, BookedCopy>> {
  const copies = await lockCopies(tx, [...new Set(subjects.flatMap(({ copyIds }) => copyIds))]);
  const facts = await selectFacts(tx, copies.map(({ id }) => id));
  return new Map(copies.map((copy) => [copy.id, { copy, facts: facts.get(copy.id) ?? [] }]));
}

type Written = { readonly id: string; readonly entries: readonly CustodyEntry[] };

async function writeEvent(recording: Recording, of: { subject: Subject; books: Map<string, BookedCopy> }): Promise<Outcome<Written>> {
  const { command, copyIds, corrected } = of.subject;
  const unknown = copyIds.flatMap((id, index): WrongField[] => (of.books.has(id) ? [] : [{ path: ['keyCopyIds', index], code: 'unknown', message: 'There is no copy with this id.' }]));
  if (unknown.length > 0) return refusedAt(command, unknown);
  const copies = copyIds.flatMap((id) => of.books.get(id) ?? []);
  // What was allowed when it happened: a rule that is relaxed or tightened since does not reach back.
  const rules = await policyAt(recording.tx, command.happenedAt ?? corrected?.happened_at ?? recording.now);
  const checked: Checked = { ...recording, command, rules, copies };

  const alone = corrected === null ? done(false) : await isCorrectedAlone(recording.tx, { recordedBy: corrected.recorded_by, now: recording.now, detail: 'You recorded this event yourself.' });
  if (!alone.ok) return alone;
  const event = eventOf(checked, { corrected, alone: alone.value });
  const wrong = wrongShape(event);
  if (wrong.length > 0) return refusedAt(command, wrong);
  const parties = await wrongParties(checked, event);
  if (parties.length > 0) return refusedAt(command, parties);
  const timelines = await changedTimelines(checked, event);
  if (timelines.wrong.length > 0) return refusedAt(command, timelines.wrong);

  const written = await insertEvent(recording.tx, event, copyIds);
  const label = { recordId: event.id, kind: 'custody-event', now: event.recordedAt } as const;
  if (event.withoutSecondPerson) await labelRelaxed(recording.tx, { ...label, rule: 'second-person' });
  if (passesCustodianBy(checked, event)) await labelRelaxed(recording.tx, { ...label, rule: 'back-to-custodian' });
  await saveTimelines(recording.tx, timelines.changes, { recordedAt: event.recordedAt, newId: recording.newId });
  if (event.says === 'reported-missing') {
    await openCasesOfMissing(recording, { event, report: factOf(event), copies });
    await announce(recording.tx, { type: 'key.missing', told: [{ subjectId: event.id }], now: event.recordedAt });
  }
  for (const { copy, facts } of copies) of.books.set(copy.id, { copy, facts: [...facts, factOf(event)] });
  const acknowledged = await acknowledgeByRecording(recording, event);
  return done({ id: event.id, entries: [custodyEntry({ ...event, recordedBy: recording.tx.actor }, written), ...acknowledged] });
}

/**
 * The books learn of things in an order of their own: after everything that they know of the copies already, so that a
 * clock that was put back makes nothing known before it was.
 */
function eventOf(checked: Checked, of: { corrected: Subject['corrected']; alone: boolean }): EventRecord {
  const { command, copies, rules } = checked;
  const known = copies.flatMap(({ facts }) => facts.map(({ recordedAt }) => recordedAt + 1));
  const recordedAt = new Date(Math.max(checked.now.getTime(), ...known));
  const says = command.kind === 'corrected' ? (command.says ?? null) : command.kind;
  return {
    id: command.id ?? checked.newId(),
    kind: command.kind,
    says,
    happenedAt: command.happenedAt ?? of.corrected?.happened_at ?? recordedAt,
    recordedAt,
    reason: command.reason,
    reasonSalt: randomBytes(SALT_BYTES),
    from: command.from ?? null,
    to: command.to ?? null,
    keyRingId: command.keyRingId ?? null,
    dueBackAt: command.dueBackAt ?? null,
    acknowledgeBy: isAcknowledged(says) ? new Date(recordedAt.getTime() + rules.acknowledgeWithinHours * HOUR_MS) : null,
    correctsId: command.correctsId ?? null,
    withoutSecondPerson: of.alone,
  };
}

/** Whoever records that they gave or received has confirmed it by that. */
async function acknowledgeByRecording({ tx, caller }: Recording, event: EventRecord): Promise<CustodyAcknowledged[]> {
  const personId = caller.kind === 'user' ? caller.personId : null;
  if (personId === null || !isAcknowledged(event.says)) return [];
  const entries: CustodyAcknowledged[] = [];
  for (const [side, holder] of [['giver', event.from], ['receiver', event.to]] as const) {
    if (holder === null || !(await selectSpeakers(tx, { holder, at: event.happenedAt })).includes(personId)) continue;
    const said = { eventId: event.id, side, personId, how: 'recorded', at: event.recordedAt } as const;
    await insertAcknowledgement(tx, said);
    entries.push(acknowledgementEntry({ ...said, signatureDigest: null }));
  }
  return entries;
}

function refusedAt({ path = [] }: NewCustodyEvent, wrong: readonly WrongField[]): Outcome<never> {
  return refusedFields('invalid-command', wrong.map((field) => ({ ...field, path: [...path, ...field.path] })));
}
