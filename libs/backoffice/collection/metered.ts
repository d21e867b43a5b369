import type { Collection, EnterMetered } from '#contracts/collection';
import { toAmount } from '#contracts/money';
import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { selectMetered } from '../meter/meter.sql';
import { perform } from '../perform';
import { placementOn } from '../placement/standing';
import { isDoneAlone } from '../policy/policy';
import { labelRelaxed } from '../policy/policy.sql';
import { notPlacedHere, otherCurrency, unknownMachine } from '../refusal';
import { assessCollections } from '../variance/assess';
import { bookCorrection, holdForCorrection, type HeldCollection } from './book-correction';
import { saidAlready } from './box-contents';
import { lockCollections, selectCollection, type CollectionRow } from './collection.sql';
import { shareMachinePlacements } from './directory.sql';
import { insertMetered, selectCountedBy } from './metered.sql';
import { readBack, withoutMetered } from './to-collection';
import { boxKey, toldByMeters } from './told';
import { unmeteredBoxes } from './unmetered';

/**
 * Enters what the meters of boxes imply, for machines whose meters are not recorded, and with a reason for boxes of which recorded meters cannot tell it. Apart from the counts, since whoever
 * counts neither sees it nor types it (25 CFR 543.17(g)(5): the count team has no access to metered amounts until the count
 * is accepted): it comes from whoever read the meters, and not from who counted. Until acceptance the latest amount of a
 * machine is the one that counts; after it only what nobody has said is entered, and corrects the books.
 */
export async function enterMetered(deps: Backoffice, caller: Caller, command: { readonly collectionId: string } & EnterMetered): Promise<Outcome<Collection>> {
  const { collectionId } = command;
  return perform<Collection>(deps, caller, 'collection.meter', async (unit) => {
    const { tx, now, refusal } = unit;
    const [locked] = await lockCollections(tx, [collectionId]);
    const row = locked === undefined ? null : await selectCollection(tx, collectionId);
    if (row === null) return refused('not-found');
    const refusedHere = refusal({ state: row.state, siteId: row.site_id });
    if (refusedHere !== null) return refusedHere;
    const held = row.state === 'accepted' ? await holdForCorrection(unit, collectionId) : null;
    if (held?.ok === false) return held;
    // First who asks: whoever counted is not told either of which boxes the meters tell nothing.
    const alone = await isDoneAlone(tx, { recordedBy: await selectCountedBy(tx, collectionId), now, detail: 'You counted here: what the meters imply comes from who read them.' });
    if (!alone.ok) return alone;
    const checked = await checkAmounts(tx, command.amounts, row);
    if (!checked.ok) return checked;
    const amounts = checked.value.map((amount) => ({ ...amount, id: deps.newId() }));
    const write = async (): Promise<void> => {
      await insertMetered(tx, amounts, { collectionId, now });
      if (alone.value) for (const { id } of amounts) await labelRelaxed(tx, { recordId: id, rule: 'second-person', kind: 'metered-amount', now });
    };
    const booked = held === null ? done(await write()) : await bookAmounts(tx, held.value, { amounts, now, newId: deps.newId, write });
    if (!booked.ok) return booked;
    const collection = await readBack(tx, collectionId);
    return collection.ok ? done(withoutMetered(collection.value)) : collection;
  });
}

type Late = { readonly amounts: readonly { readonly id: string }[]; readonly now: Date; readonly newId: () => string; readonly write: () => Promise<void> };

/** What nobody said before the count was accepted. No cash moves; a settlement that is numbered gets the difference in the next one. */
async function bookAmounts(tx: TenantTransaction, held: HeldCollection, { amounts, now, newId, write }: Late): Promise<Outcome<null>> {
  const booked = await bookCorrection(tx, held, { sourceId: amounts[0]?.id ?? newId(), label: null, cause: 'correction', postings: [], now, newId, write });
  if (booked.ok) await assessCollections(tx, { collectionIds: [held.row.id], now, newId });
  return booked;
}

type Amount = { readonly machineId: string; readonly meteredMinor: bigint; readonly reason: string | null };

async function checkAmounts(tx: TenantTransaction, entered: EnterMetered['amounts'], row: CollectionRow): Promise<Outcome<Amount[]>> {
  const rows = await shareMachinePlacements(tx, { tags: entered.map(({ machineTag }) => machineTag), placementIds: [] });
  const metered = await selectMetered(tx, { machineIds: [...new Set(rows.map(({ machine_id: id }) => id))], at: row.happened_at });
  const told = await toldByMeters(tx, [row.id]);
  const isUntold = (machineId: string): boolean => 'untold' in (told.get(boxKey({ collectionId: row.id, machineId })) ?? {});
  const unsaid = row.state === 'accepted' ? new Set((await unmeteredBoxes(tx, [row.id], { accepted: true })).map(({ machineId }) => machineId)) : null;
  const wrong: WrongField[] = [];
  const amounts = entered.flatMap(({ machineTag, amount, reason }, index): Amount[] => {
    const ofMachine = rows.filter(({ tag }) => tag === machineTag);
    const placements = ofMachine.flatMap(({ id, site_id: siteId, placed_on: placedOn, removed_on: removedOn }) => (id === null || siteId === null || placedOn === null ? [] : [{ id, siteId, placedOn, removedOn }]));
    const days = { placements, siteId: row.site_id, day: row.local_date };
    const here = placementOn({ ...days, removal: false }) ?? placementOn({ ...days, removal: true });
    const machineId = ofMachine[0]?.machine_id;
    const path = ['amounts', index, 'machineTag'];
    if (machineId === undefined) wrong.push(unknownMachine(path, machineTag));
    else if (here === null) wrong.push(notPlacedHere(path, { machineTag, where: 'at this site', day: row.local_date }));
    else if (metered.has(machineId) && !isUntold(machineId)) wrong.push({ path, code: 'meters-recorded', message: 'The meters of this machine are recorded: enter what they show, as readings.' });
    else if (unsaid?.has(machineId) === false) wrong.push(saidAlready(path));
    else if (metered.has(machineId) && reason === undefined) wrong.push({ path: ['amounts', index, 'reason'], code: 'missing', message: 'The meters of this machine are recorded and cannot tell it: say why it is this amount.' });
    if (entered.findIndex((other) => other.machineTag === machineTag) < index) wrong.push({ path, code: 'taken', message: 'This machine is listed already.' });
    if (amount.currency !== row.currency) wrong.push(otherCurrency(['amounts', index, 'amount', 'currency'], `Site ${row.site_code} is kept in`, row.currency));
    return machineId === undefined || wrong.length > 0 ? [] : [{ machineId, meteredMinor: toAmount(amount).minor, reason: reason ?? null }];
  });
  return wrong.length > 0 ? refusedFields('invalid-command', wrong) : done(amounts);
}

/** Refuses collections in which somebody has yet to say what meters imply: without it the terms cannot be computed. Null where none is. */
export async function refusedUnmetered(tx: TenantTransaction, collectionIds: readonly string[]): Promise<Outcome<never> | null> {
  const unmetered = await unmeteredBoxes(tx, collectionIds, { accepted: false });
  if (unmetered.length === 0) return null;
  const named = unmetered.slice(0, NAMED).map((box) => `${box.machineTag} at ${box.siteCode} on ${box.localDate}`);
  const more = unmetered.length > NAMED ? ` and ${String(unmetered.length - NAMED)} more` : '';
  return refused('wrong-state', { detail: `The terms go by the meters, and nobody said what those of ${named.join(', ')}${more} imply. Enter it from what was read at the machine, or record the meters.` });
}

/** As many machines as one can still read. */
const NAMED = 20;
