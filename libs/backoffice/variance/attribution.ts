import { done, type Outcome } from '#contracts/outcome';
import type { VarianceAttribution, VarianceAttributionQuery } from '#contracts/variance-attribution';
import { associationsOf, type Associations, type Intervals } from '#domain/variance/attribution';
import type { Caller } from '../caller';
import { sealFor } from '../collection/blind';
import type { Backoffice } from '../dependencies';
import { selectKeyPeople } from '../key-question/openers.sql';
import { perform } from '../perform';
import { insertAttributionRead, selectHolderMachines } from './attribution.sql';

/** Read with every answer, before the figures. */
const caution =
  'This shows where shortages and custody of keys fell together. It points to where to look and proves nothing about a person: a key that was held is not a key that was used; ' +
  'rounds, sites and machines differ; small numbers mislead. Before anything is said to anybody, look into the counts themselves, and ask what employment law requires.';

const method =
  'An interval lies between two emptyings of a box. It is short where a tender was below what meters imply by more than the tolerance, or by two standard deviations of its machine. ' +
  'Fisher’s exact test, two-sided by summing all tables no more likely; within machines the same over sums of their tables; corrected for the number of people by Holm’s procedure.';

/** For each holder of cash-box keys: short intervals with and without their custody, on the machines that their keys fitted. Each look is recorded. */
export async function readAttribution(deps: Backoffice, caller: Caller, { from, to }: VarianceAttributionQuery): Promise<Outcome<VarianceAttribution>> {
  return perform<VarianceAttribution>(deps, caller, 'variance.attribute', async (unit) => {
    const { tx, now } = unit;
    const { sites: notSites } = await sealFor(unit, caller, { siteIds: 'every' });
    const { intervals, holders } = await selectHolderMachines(tx, { from, to, notSites });
    const found = associationsOf(holders);
    const personIds = [...found.compared, ...found.alwaysHeld].map(({ personId }) => personId);
    const people = new Map((await selectKeyPeople(tx, personIds)).map((person) => [person.personId, person]));
    const named = <Figures extends { personId: string }>({ personId, ...figures }: Figures) => {
      const person = people.get(personId);
      if (person === undefined) throw new Error(`person ${personId} holds keys and is not there`);
      return { person, ...figures };
    };
    const readId = deps.newId();
    await insertAttributionRead(tx, { id: readId, from, to, people: found.compared.length, now });
    return done({
      caution,
      method,
      from,
      to,
      result: resultOf(found, intervals),
      intervals,
      items: found.compared.map(named),
      alwaysHeld: found.alwaysHeld.map(named),
      withheldSites: notSites.length,
      readId,
    });
  });
}

function resultOf({ compared, alwaysHeld }: Associations, intervals: Intervals): VarianceAttribution['result'] {
  if (intervals.all === 0) return 'no-intervals';
  if (compared.length > 0) return 'compared';
  return alwaysHeld.length > 0 ? 'nobody-to-compare' : 'no-keys';
}
