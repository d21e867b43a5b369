import type { CorrectFieldCount, FieldCounts } from '#contracts/field-count';
import { toAmount } from '#contracts/money';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import { selectAccountsOf } from '../cash-trail/move.sql';
import { holdForCorrection } from '../collection/book-correction';
import { followTakenOut } from '../collection/taken-out';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { isDoneAlone } from '../policy/policy';
import { labelRelaxed } from '../policy/policy.sql';
import { otherCurrency, taken } from '../refusal';
import { insertFieldCountCorrection, selectFieldCounts } from './field-count.sql';
import { showFieldCounts } from './read';

/**
 * Puts a count at the machine right by another one in its place. Nobody is shown it before the room's count is accepted, so it
 * is corrected after that, by somebody who neither counted nor entered it (25 CFR 543.17(g)(12): two people make a
 * correction). The room's count settles: what changes is what lacks against it, and to whose box is put down what was taken out.
 */
export async function correctFieldCount(deps: Backoffice, caller: Caller, command: { readonly collectionId: string } & CorrectFieldCount): Promise<Outcome<FieldCounts>> {
  const { collectionId, fieldCountId, coin, note, reason } = command;
  return perform<FieldCounts>(
    deps,
    caller,
    'collection.correct',
    async (unit) => {
      const { tx, now } = unit;
      const held = await holdForCorrection(unit, collectionId);
      if (!held.ok) return held;
      const { row } = held.value;
      if (row.state !== 'accepted') return refused('not-allowed-in-state', { detail: `The collection is ${row.state}: what was counted at the machines is shown, and corrected, once the counts of the room are accepted.` });
      const figure = (await selectFieldCounts(tx, collectionId)).find(({ id }) => id === fieldCountId);
      const foreign = Object.entries({ coin, note }).filter(([, money]) => money.currency !== row.currency);
      const wrong = [
        ...(figure === undefined ? [{ path: ['fieldCountId'], code: 'unknown', message: 'The collection has no count at the machine with this id.' }] : []),
        ...foreign.map(([name]) => otherCurrency([name, 'currency'], `Site ${row.site_code} is kept in`, row.currency)),
      ];
      if (figure === undefined || wrong.length > 0) return refusedFields('invalid-command', wrong);
      if (figure.replaced_by_id !== null) return refused('wrong-state', { detail: 'This count was corrected already: correct the one that stands in its place.' });
      const alone = await isDoneAlone(tx, { recordedBy: [figure.recorded_by, ...(await selectAccountsOf(tx, figure.counted_by))], now, detail: 'You counted this at the machine, or entered it: somebody else corrects it.' });
      if (!alone.ok) return alone;
      const id = command.id ?? deps.newId();
      await insertFieldCountCorrection(tx, { id, replacesId: figure.id, coinMinor: toAmount(coin).minor, noteMinor: toAmount(note).minor, reason, now });
      if (alone.value) await labelRelaxed(tx, { recordId: id, rule: 'second-person', kind: 'field-count', now });
      const followed = await followTakenOut(tx, held.value, { reason, sourceId: id, now, newId: deps.newId });
      return followed.ok ? done(await showFieldCounts(tx, row)) : followed;
    },
    { constraints: { field_count_pkey: taken(['id'], 'a count with this id'), field_count_replaced_once: { code: 'changed-meanwhile' } } },
  );
}
