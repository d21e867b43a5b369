import type { WrongField } from '#contracts/outcome';
import type { Holder } from '#domain/keys/custody';
import { localDay } from '../collection/local-day';
import { selectOperator } from '../operator/operator.sql';
import { hasException, selectParties, type EventRecord, type PartyRow } from './event.sql';
import type { Checked } from './new-event';

/**
 * What speaks against giver or receiver. Only a movement that somebody is about to make can be refused for who receives:
 * what was found, seen or put right is the truth, and is taken down.
 */
export async function wrongParties(checked: Checked, event: EventRecord): Promise<WrongField[]> {
  const holders = [event.from, event.to].filter((holder) => holder !== null);
  const parties = await selectParties(checked.tx, holders);
  const known = (holder: Holder): PartyRow | undefined => parties.find(({ kind, id }) => kind === holder.kind && id === holder.id);
  const unknown = (['from', 'to'] as const).flatMap((side): WrongField[] => {
    const holder = event[side];
    return holder === null || known(holder) !== undefined ? [] : [{ path: [side, 'id'], code: 'unknown', message: `There is no ${holder.kind} with this id.` }];
  });
  const receiver = event.to === null ? undefined : known(event.to);
  if (unknown.length > 0 || receiver === undefined) return unknown;
  if (event.from?.kind === event.to?.kind && event.from?.id === event.to?.id) {
    return [{ path: ['to'], code: 'same-as-giver', message: 'Giver and receiver are the same.' }];
  }
  if (event.kind !== 'issued' && event.kind !== 'handed-over') return [];
  return [...(await notEmployedThen(checked, event, receiver)), ...(await cashBoxKeyToSite(checked, event, receiver)), ...notByCustodian(checked, event, parties)];
}

/** Whether a cash-box key is handed over without going back to the custodian first. */
export function passesCustodianBy({ copies }: Checked, event: EventRecord): boolean {
  return event.kind === 'handed-over' && event.from?.kind !== 'store' && copies.some(({ copy }) => copy.class === 'cash-box');
}

async function notEmployedThen({ tx }: Checked, event: EventRecord, receiver: PartyRow): Promise<WrongField[]> {
  if (receiver.started_on === null) return [];
  const operator = await selectOperator(tx);
  const day = operator === null ? null : localDay({ instant: event.happenedAt, timeZone: operator.time_zone });
  const works = day !== null && receiver.started_on <= day && (receiver.left_on === null || day <= receiver.left_on);
  return works ? [] : [{ path: ['to'], code: 'not-employed', message: `${receiver.name} does not work here on that day.` }];
}

/** A cash-box key goes to nobody employed by a site, whoever asks and whoever consents, but under an exception of the owner. */
async function cashBoxKeyToSite({ tx, copies }: Checked, event: EventRecord, receiver: PartyRow): Promise<WrongField[]> {
  const cashBox = copies.find(({ copy }) => copy.class === 'cash-box');
  if (cashBox === undefined || receiver.site_id === null) return [];
  const personId = receiver.kind === 'person' ? receiver.id : null;
  if (await hasException(tx, { siteId: receiver.site_id, personId, at: event.happenedAt })) return [];
  const { number } = cashBox.copy;
  const message =
    receiver.kind === 'place'
      ? `${number} opens cash boxes. No such key is kept at a site, whoever consents.`
      : `${number} opens cash boxes. Nobody employed by a site is given such a key, whoever consents.`;
  return [{ path: ['to'], code: 'cash-box-key-to-site', message }];
}

/** From hand to hand a cash-box key goes among the operator's own people at most: an owner's exception for a site does not reach that far. */
function notByCustodian(checked: Checked, event: EventRecord, parties: readonly PartyRow[]): WrongField[] {
  const cashBox = checked.copies.find(({ copy }) => copy.class === 'cash-box');
  if (cashBox === undefined || !passesCustodianBy(checked, event)) return [];
  const atSite = parties.find(({ site_id: siteId }) => siteId !== null);
  if (checked.rules.directHandOver && atSite === undefined) return [];
  if (checked.rules.directHandOver && atSite !== undefined) {
    const side = atSite.kind === event.from?.kind && atSite.id === event.from.id ? 'from' : 'to';
    const who = atSite.kind === 'place' ? `${atSite.name} is a place at a site` : `${atSite.name} is employed by a site`;
    return [{ path: [side], code: 'back-to-custodian', message: `${cashBox.copy.number} opens cash boxes. It may go from hand to hand among the operator’s own people, but ${who}: it goes back to the custodian first.` }];
  }
  const message = `${cashBox.copy.number} opens cash boxes: it goes back to the custodian before somebody else gets it. An owner may allow it to go from hand to hand.`;
  return [{ path: ['kind'], code: 'back-to-custodian', message }];
}
