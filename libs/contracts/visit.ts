import { z } from 'zod';
import { countEntrySchema, handedEntrySchema, refundEntrySchema } from './collection';
import { strokesSchema } from './custody-acknowledgement';
import { codeSchema, idSchema, instantSchema, nameSchema, reasonSchema } from './format';
import { notReadOfMachineSchema, shownSchema } from './meter';
import { moneyNotNegativeSchema } from './money';
import { pageQuerySchema, pageSchema } from './page';
import { fieldErrorSchema } from './problem';
import { recordScaleCheckSchema } from './tally';

export const deviceSchema = z
  .strictObject({
    id: idSchema,
    name: nameSchema,
    accountId: idSchema,
    personId: idSchema.nullable(),
    personName: nameSchema.nullable(),
    registeredAt: instantSchema,
    revokedAt: instantSchema.nullable(),
    revokedBy: z.string().nullable(),
    revokedBecause: z.string().nullable(),
    releasedAt: instantSchema.nullable().describe('Since when the account of a revoked phone may register another.'),
    releasedBy: z.string().nullable(),
    releasedBecause: z.string().nullable(),
    visits: z.int().min(0).describe('Visits that came from it.'),
    lastVisitAt: instantSchema.nullable().describe('When the latest of them came.'),
  })
  .meta({ id: 'Device' });
export type Device = z.infer<typeof deviceSchema>;
export const devicesSchema = z.strictObject({ items: z.array(deviceSchema) });
export type Devices = z.infer<typeof devicesSchema>;
export const registerDeviceSchema = z.strictObject({ id: idSchema.optional(), name: nameSchema.describe('What people call it: “Orla’s phone”.') });
export type RegisterDevice = z.infer<typeof registerDeviceSchema>;
export const registeredDeviceSchema = z.strictObject({ id: idSchema, name: nameSchema, secret: z.string().nullable().describe('Shown this one time; null when the request is repeated.') }).meta({ id: 'RegisteredDevice' });
export type RegisteredDevice = z.infer<typeof registeredDeviceSchema>;
export const revokeDeviceSchema = z.strictObject({ reason: reasonSchema });
export const releaseDeviceSchema = z.strictObject({ reason: reasonSchema });

const labelSchema = z.string().trim().min(1).max(40).regex(/^\P{Cc}*$/u, 'must not hold control characters');

/** A visit to a site as it is entered at the machines, with everything that belongs to it in one piece. */
export const visitSchema = z
  .strictObject({
    siteId: idSchema,
    happenedAt: instantSchema,
    countedAt: instantSchema.optional().describe('When the last box had been counted: a scale is checked before. Left out, it is the moment of the visit.'),
    boxesExchanged: z.boolean().optional().describe('Full boxes were exchanged for empty ones, which takes no key to them: none of them is among `counts`.'),
    counts: z.array(countEntrySchema).max(500).default([]).describe('What was counted at the machines. With bags beside them the counting room counts the same boxes afterwards, and its figures settle: coins and notes alone then, each of a box that is in one of the bags.'),
    bags: z
      .array(z.strictObject({ id: idSchema.optional(), machineTag: codeSchema.nullable().default(null).describe('Null: it holds what came from several boxes.'), number: labelSchema, seal: labelSchema.describe('A seal serves once.'), meteredAmount: moneyNotNegativeSchema.optional().describe('Of a machine whose meters are not recorded: the cash that they imply, where the terms go by them. It waits unseen for the count of the bag.'), removal: z.boolean().default(false).describe('The last box of a machine that leaves on this day; its placement here has to end on it.') }))
      .max(200)
      .default([])
      .describe('Sealed bags that go to the counting room. Their boxes are counted there.'),
    readings: z
      .array(z.strictObject({ machineId: idSchema, meterId: idSchema, value: shownSchema }))
      .max(1000)
      .default([]),
    unread: z.array(notReadOfMachineSchema).max(1000).default([]).describe('Why meters were not read. Of one that is in neither list no reason was given.'),
    refunds: z.array(refundEntrySchema).max(500).default([]),
    cashHanded: z
      .array(handedEntrySchema.extend({ signature: strokesSchema.optional().describe('Drawn by the receiver; their name is in `acknowledgedBy`.') }))
      .max(50)
      .default([]),
    scaleCheckId: idSchema.optional(),
    scaleCheck: recordScaleCheckSchema.extend({ id: idSchema }).optional().describe('Instead: the check itself, made without a connection before coins were weighed. Visits of one day may bring the same.'),
  })
  .refine(({ counts, bags }) => counts.length + bags.length > 0, { path: ['counts'], message: 'Say what was counted, or which sealed bags go to the counting room.', params: { code: 'missing' } })
  .refine(({ boxesExchanged, counts }) => boxesExchanged !== true || counts.length === 0, { path: ['boxesExchanged'], message: 'A box that was counted at its machine was opened there, and not exchanged for an empty one.', params: { code: 'one-of-two' } })
  .refine(({ scaleCheckId, scaleCheck }) => scaleCheckId === undefined || scaleCheck === undefined, { path: ['scaleCheck'], message: 'Name a check of the scale or bring one, not both.', params: { code: 'one-of-two' } })
  .refine(({ bags }) => bags.every(({ machineTag, meteredAmount }) => machineTag !== null || meteredAmount === undefined), { path: ['bags'], message: 'What meters imply belongs to the bag of one machine.', params: { code: 'one-of-two' } })
  .refine(({ bags }) => bags.every(({ machineTag, removal }) => machineTag !== null || !removal), { path: ['bags'], message: 'The last box of a machine is in a bag of its own.', params: { code: 'one-of-two' } })
  .meta({ id: 'Visit' });
export type Visit = z.infer<typeof visitSchema>;

export const sendVisitSchema = z.strictObject({
  id: idSchema.describe('Made by the phone, so that a visit that is sent again is known.'),
  deviceId: idSchema,
  deviceSecret: z.string().min(1).max(200),
  sequence: z.int().min(1).max(1_000_000_000).describe('Rises with each visit of the device: visits come in the order in which they were made.'),
  visit: z.record(z.string(), z.unknown()).describe('A `Visit`. One that is refused, even for its form, is kept for the office and not lost.'),
});
export type SendVisit = z.infer<typeof sendVisitSchema>;

/** No more than the phone needs to know that it may forget the visit. */
export const visitSentSchema = z
  .strictObject({
    id: idSchema,
    outcome: z.enum(['entered', 'quarantined']),
    collectionId: idSchema.nullable(),
    deviceRevoked: z.boolean().describe('The device is revoked: whatever else it sends waits for the office, too. Whoever holds it should be told.'),
  })
  .meta({ id: 'VisitSent' });
export type VisitSent = z.infer<typeof visitSentSchema>;

const visitStateSchema = z.enum(['entered', 'quarantined', 'corrected', 'discarded', 'withdrawn']).describe('`corrected`: kept aside first, then entered by the office; `discarded`: by the office; `withdrawn`: by who made it.');

export const phoneVisitSchema = z
  .strictObject({
    id: idSchema,
    state: visitStateSchema,
    deviceId: idSchema,
    deviceName: nameSchema,
    personName: nameSchema.nullable(),
    siteCode: codeSchema.nullable().describe('Null where the visit names no site of this operator.'),
    happenedAt: z.string().nullable(),
    sequence: z.int(),
    receivedAt: instantSchema,
    collectionId: idSchema.nullable(),
    problem: z.strictObject({ code: z.string(), detail: z.string().nullable(), errors: z.array(fieldErrorSchema) }).nullable().describe('Why it was kept aside.'),
    visit: z.record(z.string(), z.unknown()).nullable().describe('As the phone sent it. Null, like what was entered instead, for who has a hand in a collection of the site that is not accepted.'),
    removedAt: instantSchema.nullable().describe('When what the phone sent, and what was entered instead, was removed: it needed not be kept any more. What is in the books stays.'),
    ruling: z.strictObject({ kind: z.enum(['entered', 'discarded', 'withdrawn']), reason: z.string(), ruledAt: instantSchema, ruledBy: z.string(), entered: z.record(z.string(), z.unknown()).nullable() }).nullable(),
    seen: z.strictObject({ at: instantSchema, by: z.string() }).nullable().describe('Of a withdrawn visit: who of the office has seen it, other than who withdrew it. Null until somebody says so.'),
  })
  .meta({ id: 'PhoneVisit' });
export type PhoneVisit = z.infer<typeof phoneVisitSchema>;
export const phoneVisitPageSchema = pageSchema(phoneVisitSchema);
export const phoneVisitListQuerySchema = pageQuerySchema.extend({
  state: visitStateSchema.optional(),
  seen: z.enum(['yes', 'no']).optional().describe('Only those that somebody of the office has seen, or that nobody has.'),
});
export type PhoneVisitListQuery = z.infer<typeof phoneVisitListQuerySchema>;

export const enterVisitSchema = z.strictObject({ visit: visitSchema.describe('As it is right.'), reason: reasonSchema });
export type EnterVisit = z.infer<typeof enterVisitSchema>;
export const paperVisitSchema = z.strictObject({
  id: idSchema.optional().describe('Of the collection that it becomes.'),
  collectedBy: idSchema.describe('The person who collected.'),
  visit: visitSchema,
});
export type PaperVisit = z.infer<typeof paperVisitSchema>;
export const discardVisitSchema = z.strictObject({ reason: reasonSchema });
export const withdrawVisitSchema = z.strictObject({ reason: reasonSchema });

/** No figure: what is in it is shown to the office alone. */
export const visitWithdrawnSchema = z.strictObject({ id: idSchema, state: z.literal('withdrawn') }).meta({ id: 'VisitWithdrawn' });
export type VisitWithdrawn = z.infer<typeof visitWithdrawnSchema>;

export const collectionBagsSchema = z.strictObject({
  items: z.array(z.strictObject({ id: idSchema, machineTag: codeSchema.nullable(), number: z.string(), seal: z.string() }).meta({ id: 'CollectionBag' })),
});
export type CollectionBags = z.infer<typeof collectionBagsSchema>;
