import type { WebhookBody } from '#contracts/webhook-event';
import type { TenantTransaction } from '#database/tenant';
import type { Backoffice } from '../dependencies';
import { groupBy } from '../settlement/inputs/group-by';
import { bodyText, collectionBody, flagBody, keyCaseBody, missingKeysBody, settlementBody, type BodyHead } from './body';
import { insertDeliveries, selectCollections, selectFlags, selectKeyCases, selectMissingKeys, selectSettlements, takeEvents, type WaitingEvent } from './facts.sql';

/** Events of one transaction. */
const MOST_AT_ONCE = 500;

/**
 * Makes the bodies of events that wait for them, and a delivery per webhook that wants the kind; a fixed number of statements. Gives how many
 * there were: with the most at once there may be more. An event whose thing is not there is a bug, which keeps no other back.
 */
export async function prepareEvents(deps: Pick<Backoffice, 'publicUrl' | 'clock'> & { readonly onTrouble: (error: unknown) => void }, tx: TenantTransaction): Promise<{ readonly made: number; readonly isAll: boolean }> {
  const events = await takeEvents(tx, MOST_AT_ONCE);
  if (events.length === 0) return { made: 0, isAll: true };
  const bodies = await bodiesOf(tx, events, deps.publicUrl);
  const made = events.flatMap(({ id }) => {
    const body = bodies.get(id);
    return body === undefined ? [] : [{ eventId: id, body: bodyText(body) }];
  });
  if (made.length < events.length) deps.onTrouble(new Error(`webhook events without what they are about: ${events.filter(({ id }) => !bodies.has(id)).map(({ id }) => id).join(', ')}`));
  if (made.length > 0) await insertDeliveries(tx, { bodies: made, now: deps.clock.now() });
  return { made: made.length, isAll: events.length < MOST_AT_ONCE };
}

async function bodiesOf(tx: TenantTransaction, events: readonly WaitingEvent[], publicUrl: string): Promise<Map<string, WebhookBody>> {
  const bodies = new Map<string, WebhookBody>();
  const byType = groupBy(events, ({ type }) => type);
  const heads = new Map(events.map(({ id, happened_at: happenedAt }): [string, BodyHead] => [id, { happenedAt, publicUrl }]));
  const idsOf = (type: WebhookBody['type']): string[] => (byType.get(type) ?? []).map(({ id }) => id);
  const add = (id: string, make: (head: BodyHead) => WebhookBody | null): void => {
    const head = heads.get(id);
    const body = head === undefined ? null : make(head);
    if (body !== null) bodies.set(id, body);
  };
  for (const type of ['settlement.issued', 'settlement.reversed', 'settlement.paid'] as const) {
    const ids = idsOf(type);
    if (ids.length > 0) for (const fact of await selectSettlements(tx, ids)) add(fact.event_id, (head) => settlementBody(type, fact, head));
  }
  const [collections, flags, keys, cases] = [idsOf('collection.accepted'), idsOf('variance.flagged'), idsOf('key.missing'), idsOf('key_case.closed')];
  if (collections.length > 0) for (const fact of await selectCollections(tx, collections)) add(fact.event_id, (head) => collectionBody(fact, head));
  if (flags.length > 0) for (const fact of await selectFlags(tx, flags)) add(fact.event_id, (head) => flagBody(fact, head));
  if (cases.length > 0) for (const fact of await selectKeyCases(tx, cases)) add(fact.event_id, (head) => keyCaseBody(fact, head));
  if (keys.length > 0) {
    for (const [id, [first, ...rest]] of groupBy(await selectMissingKeys(tx, keys), ({ event_id: eventId }) => eventId)) {
      if (first !== undefined) add(id, (head) => missingKeysBody([first, ...rest], head));
    }
  }
  return bodies;
}
