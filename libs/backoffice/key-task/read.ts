import type { KeyTasks } from '#contracts/key-task';
import { done, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { selectKeyPeople } from '../key-question/openers.sql';
import { toWhereabouts } from '../key-question/whereabouts.sql';
import { perform } from '../perform';
import { selectClosingSites, selectKeysAtSites, selectKeysOfPeople, selectLeavers, type KeyOutRow } from './read.sql';

/**
 * People who leave and sites that close with keys out. Asked of the tables each time, so that nobody has to strike off a
 * task: it is gone when the keys are back. Five statements, whatever their number.
 */
export async function readKeyTasks(deps: Backoffice, caller: Caller): Promise<Outcome<KeyTasks>> {
  return perform(deps, caller, 'key-attention.read', async ({ tx, now }) => {
    const leavers = await selectLeavers(tx, now);
    const personIds = leavers.map((row) => row.person_id);
    const people = new Map((await selectKeyPeople(tx, personIds)).map((person) => [person.personId, person]));
    const ofPeople = await selectKeysOfPeople(tx, personIds);
    const sites = await selectClosingSites(tx, now);
    const atSites = await selectKeysAtSites(tx, sites.map((row) => row.site_id));
    return done({
      leavers: leavers.flatMap((row) => {
        const person = people.get(row.person_id);
        if (person === undefined) return [];
        return [{ person, leftOn: row.left_on, overdue: row.overdue, copies: ofPeople.filter((copy) => copy.holder_id === row.person_id).map(toKeyOut), keeps: row.keeps }];
      }),
      closingSites: sites
        .map((row) => ({ siteId: row.site_id, siteCode: row.site_code, siteName: row.site_name, closedOn: row.closed_on, overdue: row.overdue, copies: atSites.filter((copy) => copy.holder_site_id === row.site_id).map(toKeyOut) }))
        .filter(({ copies }) => copies.length > 0),
    });
  });
}

function toKeyOut(row: KeyOutRow): KeyTasks['leavers'][number]['copies'][number] {
  return { keyCopyId: row.key_copy_id, number: row.number, code: row.code, class: row.class, where: toWhereabouts(row) };
}
