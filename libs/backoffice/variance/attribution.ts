import { done, type Outcome } from '#contracts/outcome';
import type { VarianceAttribution, VarianceAttributionQuery } from '#contracts/variance-attribution';
import { associationsOf, type Associations, type Intervals } from '#domain/variance/attribution';
import { writtenLanguage } from '#statement/words/languages';
import type { Caller } from '../caller';
import { sealFor } from '../collection/blind';
import type { Backoffice } from '../dependencies';
import { selectKeyPeople } from '../key-question/openers.sql';
import { perform } from '../perform';
import { attributionWords } from './attribution-words';
import { insertAttributionRead, selectHolderMachines } from './attribution.sql';

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
      ...attributionWords[writtenLanguage(caller.language)],
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
