import type { WrongField } from '#contracts/outcome';
import { heldAt, timelineOf, type CustodyFact, type Holder, type Whereabouts } from '#domain/keys/custody';
import { selectParties, shareRing } from './event.sql';
import type { NewCustodyEvent, Recording } from './new-event';
import { lockCopies, selectFacts } from './timeline.sql';

/**
 * What speaks against recording this oneself: a collector records what they give, take or miss, somebody of a site what
 * happens to the access keys there. Everybody else who may record at all may record everything.
 */
export async function wrongForRole(recording: Recording, event: NewCustodyEvent, sites: 'every' | readonly string[]): Promise<WrongField[]> {
  const { caller } = recording;
  if (sites !== 'every') return wrongAtSite(recording, event, sites);
  if (caller.kind === 'system' || caller.role !== 'collector' || (await isCollectorsOwn(recording, event))) return [];
  return [{ path: ['kind'], code: 'not-your-own', message: 'You record what you give, take or miss yourself; the custodian records the rest.' }];
}

async function isCollectorsOwn({ tx, caller, now }: Recording, event: NewCustodyEvent): Promise<boolean> {
  const personId = caller.kind === 'user' ? caller.personId : null;
  if (personId === null) return false;
  if (event.kind === 'reported-missing') {
    const at = event.happenedAt ?? now;
    const copyIds = event.keyRingId === undefined ? event.keyCopyIds : await shareRing(tx, { id: event.keyRingId, at });
    const facts = await selectFacts(tx, copyIds ?? []);
    return [...facts.values()].every((ofCopy) => {
      const where = whereAt(ofCopy, at);
      return where?.state === 'held' && where.holder.kind === 'person' && where.holder.id === personId;
    });
  }
  const moves = event.kind === 'issued' || event.kind === 'returned' || event.kind === 'handed-over';
  return moves && [event.from, event.to].some((side) => side?.kind === 'person' && side.id === personId);
}

/** Who is at a site hands access keys on among its people and places, and misses them. Anything of elsewhere does not exist for them. */
async function wrongAtSite({ tx, now }: Recording, event: NewCustodyEvent, sites: readonly string[]): Promise<WrongField[]> {
  if (event.kind !== 'handed-over' && event.kind !== 'reported-missing') {
    return [{ path: ['kind'], code: 'not-your-own', message: 'You record that a key at your site was handed on, or is missing; the custodian records the rest.' }];
  }
  if (event.keyRingId !== undefined) return [{ path: ['keyRingId'], code: 'not-your-own', message: 'Name each key: a ring may hold keys of other sites.' }];
  const copyIds = event.keyCopyIds ?? [];
  const copies = new Map((await lockCopies(tx, copyIds)).map((copy) => [copy.id, copy]));
  const facts = await selectFacts(tx, copyIds);
  const holders = new Map(copyIds.flatMap((id): [string, Holder][] => {
    const where = whereAt(facts.get(id) ?? [], event.happenedAt ?? now);
    return where?.state === 'held' ? [[id, where.holder]] : [];
  }));
  const named = [...holders.values(), ...(event.to === null || event.to === undefined ? [] : [event.to])];
  const parties = await selectParties(tx, named);
  const isHere = (holder: Holder | undefined): boolean => {
    const siteId = parties.find(({ kind, id }) => kind === holder?.kind && id === holder.id)?.site_id ?? null;
    return siteId !== null && sites.includes(siteId);
  };
  const wrong = copyIds.flatMap((id, index): WrongField[] =>
    copies.get(id)?.class === 'access' && isHere(holders.get(id)) ? [] : [{ path: ['keyCopyIds', index], code: 'unknown', message: 'There is no copy with this id.' }],
  );
  if (event.to !== null && event.to !== undefined && !isHere(event.to)) wrong.push({ path: ['to', 'id'], code: 'unknown', message: `There is no ${event.to.kind} with this id.` });
  return wrong;
}

function whereAt(facts: readonly CustodyFact[], at: Date): Whereabouts | null {
  const timeline = timelineOf(facts);
  return timeline.ok ? heldAt(timeline.intervals, at.getTime()) : null;
}
