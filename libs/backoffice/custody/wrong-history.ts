import type { WrongField } from '#contracts/outcome';
import { heldAt, sameHolder, timelineOf, type CustodyFact, type CustodyInterval, type CustodyProblem, type Whereabouts } from '#domain/keys/custody';
import { can } from '#domain/permissions/can';
import { selectParties, type EventRecord } from './event.sql';
import type { BookedCopy, Checked } from './new-event';
import type { TimelineChange } from './timeline.sql';

/** The event as it concerns one copy. */
export function factOf(event: EventRecord): CustodyFact {
  return { eventId: event.id, says: event.says, correctsId: event.correctsId, happenedAt: event.happenedAt.getTime(), recordedAt: event.recordedAt.getTime(), to: event.to };
}

/** Where the copies were, told anew with the event, or why it cannot have happened. */
export async function changedTimelines(checked: Checked, event: EventRecord): Promise<{ changes: TimelineChange[]; wrong: WrongField[] }> {
  const changes: TimelineChange[] = [];
  const wrong: WrongField[] = [];
  for (const [index, booked] of checked.copies.entries()) {
    const path = checked.command.keyCopyIds === undefined ? [] : ['keyCopyIds', index];
    const timeline = timelineOf([...booked.facts, factOf(event)]);
    if (!timeline.ok) {
      wrong.push(impossible({ booked, event, problem: timeline.problem }));
      continue;
    }
    if (timeline.intervals.length === 0) {
      wrong.push({ path: ['says'], code: 'never-made', message: `${booked.copy.number} exists, so it was made once: say when.` });
      continue;
    }
    const giver = await wrongGiver(checked, event, { booked, intervals: timeline.intervals, path });
    if (giver === null) changes.push(changeOf(booked, timeline.intervals));
    else wrong.push(giver);
  }
  return { changes, wrong };
}

function changeOf({ copy, facts }: BookedCopy, after: readonly CustodyInterval[]): TimelineChange {
  const believed = timelineOf(facts);
  if (!believed.ok) throw new Error(`the books about ${copy.number} contradict themselves: ${believed.problem.code}`);
  const text = (each: CustodyInterval): string => `${each.eventId} ${each.from} ${each.to}`;
  const [old, next] = [new Set(believed.intervals.map(text)), new Set(after.map(text))];
  return { copy, ended: believed.intervals.filter((each) => !next.has(text(each))), begun: after.filter((each) => !old.has(text(each))) };
}

/** Nobody gives what they do not have. Who has it is told to whoever may ask that anyway. */
async function wrongGiver(checked: Checked, event: EventRecord, of: { booked: BookedCopy; intervals: readonly CustodyInterval[]; path: WrongField['path'] }): Promise<WrongField | null> {
  if (event.from === null) return null;
  // Moments are whole milliseconds, and no two events of a copy share one.
  const before = heldAt(of.intervals, event.happenedAt.getTime() - 1);
  if (before?.state === 'held' && sameHolder(before.holder, event.from)) return null;
  const where = can(checked.caller, 'key-reach.read') ? await whereText(checked, before) : 'was not with the giver then';
  return { path: of.path.length === 0 ? ['from'] : of.path, code: 'not-with-giver', message: `${of.booked.copy.number} ${where}.` };
}

async function whereText({ tx }: Checked, where: Whereabouts | null): Promise<string> {
  if (where === null) return 'was not made yet';
  if (where.state === 'missing') return 'was missing then';
  if (where.state === 'destroyed') return 'was destroyed then';
  const [holder] = await selectParties(tx, [where.holder]);
  return `was with ${holder === undefined ? 'somebody else' : `${holder.name} (${holder.code})`} then`;
}

function impossible(of: { booked: BookedCopy; event: EventRecord; problem: CustodyProblem }): WrongField {
  const { booked, event, problem } = of;
  const { number } = booked.copy;
  const field = event.kind === 'corrected' ? 'says' : 'kind';
  if (problem.eventId !== event.id) {
    return { path: ['happenedAt'], code: problem.code, message: `What is recorded of ${number} at a later time does not fit any more.` };
  }
  switch (problem.code) {
    case 'before-made':
      return { path: ['happenedAt'], code: problem.code, message: `${number} was not made yet at that time.` };
    case 'made-twice':
      return { path: [field], code: problem.code, message: `${number} was made already.` };
    case 'after-destroyed':
      return { path: ['happenedAt'], code: problem.code, message: `${number} was destroyed before that.` };
    case 'same-moment':
      return { path: ['happenedAt'], code: problem.code, message: `Something else happened to ${number} at that very moment.` };
    case 'not-missing':
      return { path: [field], code: problem.code, message: `${number} was not missing then, so it was not found. Record that it was seen.` };
    case 'is-missing':
      return { path: [field], code: problem.code, message: `${number} was missing then. Record first that it was found.` };
  }
}
