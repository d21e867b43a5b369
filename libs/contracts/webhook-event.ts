import { z } from 'zod';
import { codeSchema, idSchema, instantSchema, localDateSchema } from './format';
import { moneySchema } from './money';

/**
 * What other programs are told, by kind. A kind keeps its shape for ever; what has to be told otherwise is a new kind. Bodies name things
 * by id and by the codes that people say; never a person, and never what a box should have held.
 */

const address = z.string().describe('Address of the API.');
const site = { siteId: idSchema, siteCode: codeSchema };

const settlementData = {
  settlementId: idSchema,
  number: z.string().describe('Number of the statement.'),
  ...site,
  startsOn: localDateSchema,
  endsBefore: localDateSchema,
  payable: moneySchema.describe('What the settlement left to be paid to the payees; below zero: from them.'),
};

const links = { links: z.strictObject({ settlement: address, statement: address }) };

function event<Type extends string, Data extends z.core.$ZodLooseShape>(type: Type, data: Data) {
  return z.strictObject({
    type: z.literal(type),
    timestamp: instantSchema.describe('When it happened, which is not when it was sent.'),
    data: z.strictObject(data),
  });
}

export const settlementIssuedSchema = event('settlement.issued', { ...settlementData, ...links }).meta({ id: 'SettlementIssuedEvent' });
export const settlementReversedSchema = event('settlement.reversed', { ...settlementData, reversalId: idSchema, accountingDate: localDateSchema, ...links }).meta({ id: 'SettlementReversedEvent' });
export const settlementPaidSchema = event('settlement.paid', { ...settlementData, paymentId: idSchema.describe('The payment that settled the rest.'), ...links }).meta({ id: 'SettlementPaidEvent' });
export const collectionAcceptedSchema = event('collection.accepted', {
  collectionId: idSchema,
  ...site,
  collectedOn: localDateSchema,
  accountingDate: localDateSchema,
  links: z.strictObject({ collection: address }),
}).meta({ id: 'CollectionAcceptedEvent' });
export const varianceFlaggedSchema = event('variance.flagged', {
  flagId: idSchema,
  collectionId: idSchema,
  ...site,
  machineId: idSchema,
  machineTag: codeSchema,
  accountingDate: localDateSchema,
  links: z.strictObject({ flag: address }),
}).meta({ id: 'VarianceFlaggedEvent' });
export const keyMissingSchema = event('key.missing', {
  eventId: idSchema.describe('The report, in the books of custody.'),
  missingSince: instantSchema,
  keyCopies: z.array(z.strictObject({ keyCopyId: idSchema, number: z.string(), keyCode: codeSchema, class: z.enum(['access', 'cash-box']) })),
  keyCaseIds: z.array(idSchema).describe('Cases that follow them.'),
  links: z.strictObject({ keyCases: address }),
}).meta({ id: 'KeyMissingEvent' });
export const keyCaseClosedSchema = event('key_case.closed', {
  keyCaseId: idSchema,
  keyCode: codeSchema,
  class: z.enum(['access', 'cash-box']),
  how: z.enum(['closed', 'ended']).describe('`closed`: no lock takes the old key any more; `ended`: every key was found.'),
  links: z.strictObject({ keyCase: address }),
}).meta({ id: 'KeyCaseClosedEvent' });
/** What an owner sends to try an address out. Every webhook gets it, whatever kinds it wants. */
export const webhookTestSchema = event('webhook.test', { webhookId: idSchema, links: z.strictObject({ webhook: address }) }).meta({ id: 'WebhookTestEvent' });

/** Every body that is sent, by its `type`. */
export const webhookBodySchema = z.discriminatedUnion('type', [
  settlementIssuedSchema,
  settlementReversedSchema,
  settlementPaidSchema,
  collectionAcceptedSchema,
  varianceFlaggedSchema,
  keyMissingSchema,
  keyCaseClosedSchema,
  webhookTestSchema,
]);
export type WebhookBody = z.infer<typeof webhookBodySchema>;

/** What a webhook is told of when it asks for it. */
export const webhookEventTypes = ['settlement.issued', 'settlement.reversed', 'settlement.paid', 'collection.accepted', 'variance.flagged', 'key.missing', 'key_case.closed'] as const satisfies readonly WebhookBody['type'][];
export type WebhookEventType = (typeof webhookEventTypes)[number];

/** What each kind means, for the published description and the console's developer. */
export const webhookEventSummaries: { readonly [type in WebhookBody['type']]: string } = {
  'settlement.issued': 'A settlement was issued: its statement is numbered, signed and stored.',
  'settlement.reversed': 'An issued settlement was taken back as a whole.',
  'settlement.paid': 'Nothing of a settlement is open any more, by a payment that was matched with it. A payment that comes back opens it again; paid anew, it is told anew.',
  'collection.accepted': 'The counts of a collection were accepted: they are takings from now on.',
  'variance.flagged': 'A difference between count and meters was flagged, to be explained. Amounts are read by those who may.',
  'key.missing': 'Keys were reported missing.',
  'key_case.closed': 'A case of lost keys was closed or ended.',
  'webhook.test': 'An owner tries the address out.',
};
