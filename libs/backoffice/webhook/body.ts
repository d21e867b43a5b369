import { formatInstant } from '#contracts/format';
import { moneyOf } from '#contracts/money';
import type { WebhookBody } from '#contracts/webhook-event';
import { canonicalJson } from '#domain/evidence/canonical-json';
import type { CollectionFact, FlagFact, KeyCaseFact, MissingKeyFact, SettlementFact } from './facts.sql';

/** When it happened, and the address at which links begin. */
export type BodyHead = { readonly happenedAt: Date; readonly publicUrl: string };

/** The bytes that are signed and sent. Canonical, so that whoever keeps them can compare them. */
export function bodyText(body: WebhookBody): string {
  return canonicalJson(body);
}

export function settlementBody(type: 'settlement.issued' | 'settlement.reversed' | 'settlement.paid', fact: SettlementFact, { happenedAt, publicUrl }: BodyHead): WebhookBody | null {
  const timestamp = formatInstant(happenedAt);
  const address = `${publicUrl}/v1/settlements/${fact.settlement_id}`;
  const data = {
    settlementId: fact.settlement_id,
    number: fact.number,
    siteId: fact.site_id,
    siteCode: fact.site_code,
    startsOn: fact.starts_on,
    endsBefore: fact.ends_before,
    payable: moneyOf(fact.payable_minor, fact.currency),
    links: { settlement: address, statement: `${address}/statement` },
  };
  switch (type) {
    case 'settlement.issued':
      return { type, timestamp, data };
    case 'settlement.reversed':
      if (fact.reversal_id === null || fact.reversed_on === null) return null;
      return { type, timestamp, data: { ...data, reversalId: fact.reversal_id, accountingDate: fact.reversed_on } };
    case 'settlement.paid':
      return fact.payment_id === null ? null : { type, timestamp, data: { ...data, paymentId: fact.payment_id } };
  }
}

export function collectionBody(fact: CollectionFact, { happenedAt, publicUrl }: BodyHead): WebhookBody {
  return {
    type: 'collection.accepted',
    timestamp: formatInstant(happenedAt),
    data: {
      collectionId: fact.collection_id,
      siteId: fact.site_id,
      siteCode: fact.site_code,
      collectedOn: fact.local_date,
      accountingDate: fact.accounting_date,
      links: { collection: `${publicUrl}/v1/collections/${fact.collection_id}` },
    },
  };
}

export function flagBody(fact: FlagFact, { happenedAt, publicUrl }: BodyHead): WebhookBody {
  return {
    type: 'variance.flagged',
    timestamp: formatInstant(happenedAt),
    data: {
      flagId: fact.flag_id,
      collectionId: fact.collection_id,
      siteId: fact.site_id,
      siteCode: fact.site_code,
      machineId: fact.machine_id,
      machineTag: fact.machine_tag,
      accountingDate: fact.accounting_date,
      links: { flag: `${publicUrl}/v1/variance-flags/${fact.flag_id}` },
    },
  };
}

/** `facts`: one per copy, at least one. */
export function missingKeysBody(facts: readonly [MissingKeyFact, ...MissingKeyFact[]], { happenedAt, publicUrl }: BodyHead): WebhookBody {
  const [first] = facts;
  return {
    type: 'key.missing',
    timestamp: formatInstant(happenedAt),
    data: {
      eventId: first.report_id,
      missingSince: formatInstant(first.happened_at),
      keyCopies: facts.map((fact) => ({ keyCopyId: fact.key_copy_id, number: fact.number, keyCode: fact.code, class: fact.class })),
      keyCaseIds: [...new Set(facts.flatMap(({ key_case_id: id }) => id ?? []))].sort(),
      links: { keyCases: `${publicUrl}/v1/key-cases` },
    },
  };
}

export function keyCaseBody(fact: KeyCaseFact, { happenedAt, publicUrl }: BodyHead): WebhookBody | null {
  if (fact.state === 'open') return null;
  return {
    type: 'key_case.closed',
    timestamp: formatInstant(happenedAt),
    data: { keyCaseId: fact.key_case_id, keyCode: fact.code, class: fact.class, how: fact.state, links: { keyCase: `${publicUrl}/v1/key-cases/${fact.key_case_id}` } },
  };
}

export function testBody(webhookId: string, { happenedAt, publicUrl }: BodyHead): WebhookBody {
  return { type: 'webhook.test', timestamp: formatInstant(happenedAt), data: { webhookId, links: { webhook: `${publicUrl}/v1/webhooks/${webhookId}` } } };
}
