import { z } from 'zod';
import { codeSchema, idSchema, instantSchema, localDateSchema, nameSchema, reasonSchema, revisionSchema } from './format';
import { moneyNotNegativeSchema, moneyPositiveSchema, moneySchema } from './money';
import { notReadEntrySchema, shownSchema, unreadMeterSchema } from './meter';
import { pageQuerySchema, pageSchema } from './page';
import { tallyLineSchema, tallySchema } from './tally';
import { askedAmountSchema } from './untold-box';

export const collectionStateSchema = z
  .enum(['open', 'counted', 'accepted', 'discarded'])
  .describe('`open`: nothing counted yet; `counted`: waits for acceptance; `accepted`: in the books, and only corrections follow; `discarded`: entered by mistake, nothing of it counts.');

const partSchema = z.int().min(1).max(99);
const baggedMeaning = 'The counts are what was found in the bags. What was taken out of the boxes before bagging (cash handed over, refunds by the operator’s people, change funds filled) comes on top, by its receipts. Otherwise the counts include it.';
const actorSchema = z.string().describe('`user:<id>`, `token:<id>` or `system:<name>`.');

const tokenCountSchema = z.strictObject({ tokenId: z.string().min(1).max(64).describe('As the terms name it.'), pieces: z.int().min(1).max(1_000_000) });

const cashWithSchema = z.enum(['collector', 'counting-room']);

/** Cash out of one machine's box, and what else lay in it. */
export const boxCountSchema = z
  .strictObject({
    id: idSchema,
    placementId: idSchema,
    machineId: idSchema,
    machineTag: codeSchema,
    part: z.int().min(0).max(99).describe('0: what was taken out of the box before it was bagged, by the receipts; it is corrected through these.'),
    removal: z.boolean(),
    coin: moneySchema,
    note: moneySchema,
    tally: z.array(tallyLineSchema).nullable().describe('How coins and notes were counted, by denomination; null where amounts were entered.'),
    tokens: z.array(tokenCountSchema).describe('Pieces found, by token; the terms in force give them their value.'),
    houseCoin: moneySchema.describe('The site\'s own marked coin, given back at its face value: no takings.'),
    badCoin: moneySchema.describe('Foreign, false or damaged coin, at the value at which the machine took it: no takings.'),
    meteredAmount: moneySchema.nullable().describe('Typed, for a machine whose meters are not recorded or cannot tell it: the cash that they imply. What recorded meters say is asked elsewhere. Until acceptance null for who counts, and always for the site.'),
    cashWith: cashWithSchema.describe('Who has its cash by the books: who collected, where they counted it at the machine and it settles so, until they hand it in; else the counting room.'),
    late: z.boolean().describe('Entered after its collection was accepted, of a box that was opened there and not counted; `reason` says why.'),
    replacesId: idSchema.nullable().describe('The count that this one corrects.'),
    replacedById: idSchema.nullable().describe('The correction that stands in its place; null for a count that stands.'),
    reason: z.string().nullable(),
    withoutSecondPerson: z.boolean().describe('Corrected by the one who had recorded it, in a business of one.'),
    recordedAt: instantSchema,
    recordedBy: actorSchema,
  })
  .meta({ id: 'BoxCount' });
export type BoxCount = z.infer<typeof boxCountSchema>;

/** How a figure and its correction refer to each other; who, when and why. */
const correctedFields = {
  replacesId: idSchema.nullable().describe('The figure that this one corrects.'),
  replacedById: idSchema.nullable().describe('The correction that stands in its place; null for one that stands.'),
  reason: z.string().nullable(),
  withoutSecondPerson: z.boolean().describe('Corrected by the one who had recorded it, in a business of one.'),
  recordedAt: instantSchema,
  recordedBy: actorSchema,
};

export const refundSlipSchema = z
  .strictObject({
    id: idSchema,
    machineId: idSchema,
    machineTag: codeSchema,
    refundedOn: localDateSchema,
    amount: moneySchema,
    paidBy: z.enum(['site', 'operator']),
    coin: moneySchema.nullable().describe('How much of it was coins, the rest being notes; null where nobody noted that.'),
    claims: z.array(z.strictObject({ id: idSchema, number: z.string().nullable(), reason: z.string() })).describe('What the site had entered of it beforehand. Of a slip that was corrected, with the one that stands in its place.'),
    alike: z
      .strictObject({ number: z.string().nullable(), collectedOn: localDateSchema.describe('Day of the visit that took the claim over.') })
      .nullable()
      .describe('Of a slip without a claim: the claim of the same machine, day and amount that another slip took over. It may be the same paper, or that of a second player.'),
    ...correctedFields,
  })
  .meta({ id: 'RefundSlip' });
export type RefundSlip = z.infer<typeof refundSlipSchema>;

export const cashHandedSchema = z
  .strictObject({
    id: idSchema,
    partyId: idSchema,
    amount: moneySchema,
    machineTag: codeSchema.nullable().describe('Out of whose box it came; null where nobody noted that, or it came out of several.'),
    coin: moneySchema.nullable().describe('How much of it was coins, the rest being notes; null where nobody noted that.'),
    acknowledgedBy: z.string().nullable(),
    ...correctedFields,
  })
  .meta({ id: 'CashHanded' });

const summaryFields = {
  id: idSchema,
  siteId: idSchema,
  siteCode: codeSchema,
  siteName: nameSchema,
  timeZone: z.string().describe('Of the site, IANA: the clock by which the visit was.'),
  happenedAt: instantSchema,
  localDate: localDateSchema.describe('Day of the visit at the site.'),
  accountingDate: localDateSchema.describe('Day to which it is booked; it decides period, terms and tax.'),
  state: collectionStateSchema,
  counted: moneySchema.describe('Sum of the counts that stand: all that came out of the boxes.'),
  countedMachines: z.int().min(0),
  refunds: moneySchema,
  handed: moneySchema.describe('Cash handed out before bagging.'),
  importFileId: idSchema.nullable(),
  revision: revisionSchema,
};

export const collectionSummarySchema = z.strictObject(summaryFields).meta({ id: 'CollectionSummary' });
export type CollectionSummary = z.infer<typeof collectionSummarySchema>;

const numberSchema = z.int().min(0);
/** What hung on a collection that was discarded is withdrawn with it. */
const discardedSchema = z.strictObject({
  at: instantSchema,
  by: actorSchema,
  reason: z.string(),
  withoutSecondPerson: z.boolean().describe('Discarded by one who had a hand in it, in a business of one.'),
  withdrawn: z
    .strictObject({ counts: numberSchema, fieldCounts: numberSchema, readings: numberSchema, readingTries: numberSchema, refundSlips: numberSchema, cashHanded: numberSchema, bags: numberSchema })
    .describe('How many of each were entered for it. They stay legible and no longer count.'),
});

/** One visit to one site. Until it is accepted it shows what was entered and nothing else. */
export const collectionSchema = z
  .strictObject({
    ...summaryFields,
    accountingReason: z.string().nullable(),
    collectedBy: idSchema.nullable(),
    recordedAt: instantSchema,
    recordedBy: actorSchema,
    acceptedAt: instantSchema.nullable(),
    acceptedBy: actorSchema.nullable(),
    bagged: z.boolean().describe(baggedMeaning),
    discarded: discardedSchema.nullable().describe('Null unless it was discarded.'),
    counts: z.array(boxCountSchema).describe('Counts and their corrections, by machine.'),
    meteredAmounts: z
      .array(z.strictObject({ machineId: idSchema, machineTag: codeSchema, amount: moneySchema, reason: z.string().nullable().describe('Why it is that amount, where recorded meters cannot tell it.'), recordedAt: instantSchema, recordedBy: actorSchema }))
      .nullable()
      .describe('What meters imply that are not recorded or cannot tell it, entered apart from the counts: of each machine the latest. It counts where the meters do not tell it and no count of the box has an amount. Null where a `meteredAmount` would be.'),
    meteredMissing: z.array(codeSchema).describe('Machines of which somebody has to say what the meters imply, before this can be accepted or, where it was, before it can be settled.'),
    meteredAsked: z.array(askedAmountSchema).describe('The same, with why the meters of each cannot tell it and what the amount has to cover.'),
    unreadMeters: z.array(unreadMeterSchema).describe('Meters of the opened machines that were not read, and why.'),
    refundSlips: z.array(refundSlipSchema),
    cashHanded: z.array(cashHandedSchema),
    cashOutOf: z
      .array(z.strictObject({ machineTag: codeSchema.nullable(), receipts: cashWithSchema, fillings: cashWithSchema }))
      .describe('Out of whose cash what goes out of a box before it is counted is booked, by the machines that stood there, and null for what nobody noted the box of: of `receipts` (cash handed over, refunds), and of change funds that are filled now.'),
    blind: z.boolean().describe('Nobody who counted had been shown what the boxes should hold, and nobody who counted in the room had counted the same at the machines, or been shown that count. What came by a file is not known to be otherwise.'),
    exposedByCaseIds: z.array(idSchema).describe('Cases of lost keys that opened boxes which this collection emptied. Empty for whoever may not read such cases.'),
  })
  .meta({ id: 'Collection' });
export type Collection = z.infer<typeof collectionSchema>;

export const countEntrySchema = z
  .strictObject({
    id: idSchema.optional(),
    machineTag: codeSchema.optional(),
    placementId: idSchema.optional().describe('Instead of the tag, for clients that know placements.'),
    coin: moneyNotNegativeSchema.optional(),
    note: moneyNotNegativeSchema.optional(),
    tally: tallySchema.optional().describe('Instead of the two amounts: the denominations, in pieces or by weight.'),
    tokens: z.array(tokenCountSchema).max(20).default([]).describe('Pieces of each token of the terms.'),
    houseCoin: moneyNotNegativeSchema.optional().describe('The site\'s own marked coin, given back at its face value: no takings, and not in `coin`.'),
    badCoin: moneyNotNegativeSchema.optional().describe('Foreign, false or damaged coin, at the value at which the machine took it: no takings, and not in `coin`.'),
    meteredAmount: moneyNotNegativeSchema
      .optional()
      .describe('Typed, for a machine whose meters are not recorded: the cash that they imply for the days of this count. Needed then where the terms go by the meters; of a box in parts, with one of them and 0 with the others. Never with the counts of the counting room, where nobody sees it: it is entered apart from them.'),
    readings: z
      .array(z.strictObject({ id: idSchema.optional(), meterId: idSchema, value: shownSchema, readAgain: z.boolean().default(false).describe('Who read it looked a second time, and it is so.') }))
      .max(20)
      .default([])
      .describe('What the meters of the machine showed as its box was emptied. One that could not be read makes one long interval. Of a box in parts, with one of them.'),
    unread: z.array(notReadEntrySchema).max(20).default([]).describe('Why a meter of the machine was not read. Of one that is in neither list no reason was given.'),
    removal: z.boolean().default(false).describe('Counted at the removal of the machine: belongs to the placement that ends on this day.'),
    part: partSchema.default(1).describe('When one box is counted in several parts: 1, 2, ...'),
  })
  .refine(({ machineTag, placementId }) => (machineTag === undefined) !== (placementId === undefined), {
    path: ['machineTag'],
    message: 'Name either the machine or the placement.',
    params: { code: 'one-of-two' },
  })
  .refine(({ coin, tally }) => tally !== undefined || coin !== undefined, { path: ['coin'], message: 'Say what was counted in coins, or give a tally.', params: { code: 'missing' } })
  .refine(({ note, tally }) => tally !== undefined || note !== undefined, { path: ['note'], message: 'Say what was counted in notes, or give a tally.', params: { code: 'missing' } })
  .refine(({ coin, note, tally }) => tally === undefined || (coin === undefined && note === undefined), {
    path: ['tally'],
    message: 'Give amounts or a tally, not both.',
    params: { code: 'one-of-two' },
  });
export type CountEntry = z.infer<typeof countEntrySchema>;

export const refundEntrySchema = z.strictObject({
  id: idSchema.optional(),
  machineTag: codeSchema,
  refundedOn: localDateSchema,
  amount: moneyPositiveSchema,
  paidBy: z.enum(['site', 'operator']).default('site'),
  claimId: idSchema.optional().describe('The claim of the site whose slip this is, with the same machine, day and amount. Left out, an open claim that says the same is taken over all the same, so that nothing is paid twice.'),
  coin: moneyNotNegativeSchema.optional().describe('How much of it was coins, the rest being notes; of what was paid out of the boxes. Left out, it is put down to what lacks against the counts at the machine, else coins and notes as they were found.'),
});
export type RefundEntry = z.infer<typeof refundEntrySchema>;

export const handedEntrySchema = z.strictObject({
  id: idSchema.optional(),
  amount: moneyPositiveSchema,
  acknowledgedBy: nameSchema.nullable().default(null).describe('Name of who acknowledged it at the site.'),
  partyId: idSchema.optional().describe('Who was handed it; the site\'s party when left out.'),
  machineTag: codeSchema.optional().describe('Out of whose box it came. Left out, it is put down to the boxes that lack cash against their counts at the machine, else shared by what was found in each.'),
  coin: moneyNotNegativeSchema.optional().describe('How much of it was coins, the rest being notes. Left out, it is put down to what lacks against the counts at the machine, else coins and notes as they were found.'),
});
export type HandedEntry = z.infer<typeof handedEntrySchema>;

const entryFields = {
  counts: z.array(countEntrySchema).max(500),
  refunds: z.array(refundEntrySchema).max(500).default([]),
  cashHanded: z.array(handedEntrySchema).max(50).default([]),
  scaleCheckId: idSchema.optional().describe('Check of the scale on which coins were weighed, of the last 24 hours. Needed as soon as a tally has grams.'),
};

export const createCollectionSchema = z
  .strictObject({
    id: idSchema.optional(),
    siteId: idSchema,
    happenedAt: instantSchema,
    accountingDate: localDateSchema.optional().describe('Day to which it is booked, when that is another one than that of the visit.'),
    accountingReason: reasonSchema.optional(),
    collectedBy: idSchema.nullable().default(null).describe('The person who collected.'),
    keyHolderId: idSchema.optional().describe('The member of a team who had the key to the boxes; the person who collected when left out.'),
    bagged: z.boolean().optional().describe(`${baggedMeaning} An open collection is bagged as soon as its bags are noted.`),
    boxesExchanged: z.boolean().optional().describe('Full boxes were exchanged for empty ones, which takes no key to them.'),
    ...entryFields,
    counts: entryFields.counts.default([]),
  })
  .refine(({ keyHolderId, boxesExchanged }) => keyHolderId === undefined || boxesExchanged !== true, {
    path: ['keyHolderId'],
    message: 'An exchange of locked boxes takes no key to them.',
    params: { code: 'one-of-two' },
  });
export type CreateCollection = z.infer<typeof createCollectionSchema>;

export const addCountsSchema = z.strictObject({ ...entryFields, counts: entryFields.counts.min(1) });
export type AddCounts = z.infer<typeof addCountsSchema>;

export const enterMeteredSchema = z.strictObject({
  amounts: z.array(z.strictObject({ machineTag: codeSchema, amount: moneyNotNegativeSchema.describe('The cash that the meters imply for this box: where they are recorded and cannot tell it, of everything since the readings that `meteredAsked` names.'), reason: reasonSchema.optional().describe('Needed where the meters are recorded: why it is that amount.') })).min(1).max(500),
});
export type EnterMetered = z.infer<typeof enterMeteredSchema>;

export const enterLateCountSchema = z.strictObject({
  id: idSchema.optional().describe('Id of the count.'),
  machineTag: codeSchema,
  coin: moneyNotNegativeSchema.describe('0 for a box whose bag never came.'),
  note: moneyNotNegativeSchema,
  tokens: z.array(tokenCountSchema).max(20).default([]),
  houseCoin: moneyNotNegativeSchema.optional(),
  badCoin: moneyNotNegativeSchema.optional(),
  meteredAmount: moneyNotNegativeSchema.optional().describe('Needed where the terms go by the meters and those of the machine are not recorded.'),
  removal: z.boolean().default(false),
  reason: reasonSchema,
});
export type EnterLateCount = z.infer<typeof enterLateCountSchema>;

const uncountedBoxSchema = z
  .strictObject({
    collectionId: idSchema,
    siteCode: codeSchema,
    localDate: localDateSchema.describe('Day of the visit.'),
    machineTag: codeSchema,
    evidence: z.enum(['read', 'counted-at-machine', 'bag']).describe('By which it is known that the box was opened: its meters were read there, it was counted at the machine, or it has a bag of its own.'),
  })
  .meta({ id: 'UncountedBox' });
export type UncountedBox = z.infer<typeof uncountedBoxSchema>;
export const uncountedBoxesSchema = z.strictObject({ items: z.array(uncountedBoxSchema) });
export const uncountedBoxListQuerySchema = z.strictObject({ collectionId: idSchema.optional() });
export type UncountedBoxListQuery = z.infer<typeof uncountedBoxListQuerySchema>;

export const discardCollectionSchema = z.strictObject({ reason: reasonSchema });
export type DiscardCollection = z.infer<typeof discardCollectionSchema>;

export const acceptCollectionsSchema = z.strictObject({
  collectionIds: z.array(idSchema).min(1).max(200).refine((ids) => new Set(ids).size === ids.length, 'names a collection twice'),
});
export type AcceptCollectionsCommand = z.infer<typeof acceptCollectionsSchema>;

export const acceptedCollectionsSchema = z.strictObject({ accepted: z.int().min(1) });
export type AcceptedCollections = z.infer<typeof acceptedCollectionsSchema>;

export const correctCountSchema = z.strictObject({
  id: idSchema.optional().describe('Id of the new count.'),
  countId: idSchema.describe('The count that is wrong. It stays legible.'),
  coin: moneyNotNegativeSchema,
  note: moneyNotNegativeSchema,
  tokens: z.array(tokenCountSchema).max(20).optional().describe('As they were when left out.'),
  houseCoin: moneyNotNegativeSchema.optional().describe('As it was when left out.'),
  badCoin: moneyNotNegativeSchema.optional().describe('As it was when left out.'),
  meteredAmount: moneyNotNegativeSchema.optional().describe('As it was when left out.'),
  reason: reasonSchema,
});
export type CorrectCount = z.infer<typeof correctCountSchema>;

export const correctSlipSchema = z.strictObject({
  id: idSchema.optional().describe('Id of the new slip.'),
  refundSlipId: idSchema.describe('The slip that is wrong. It stays legible.'),
  amount: moneyNotNegativeSchema.describe('0 takes it back.'),
  paidBy: z.enum(['site', 'operator']).optional().describe('As it was when left out.'),
  coin: moneyNotNegativeSchema.nullable().optional().describe('As it was when left out; null: not known.'),
  reason: reasonSchema,
});
export type CorrectSlip = z.infer<typeof correctSlipSchema>;

export const correctHandedSchema = z.strictObject({
  id: idSchema.optional().describe('Id of the new hand-out.'),
  cashHandedId: idSchema.describe('The hand-out that is wrong. It stays legible.'),
  amount: moneyNotNegativeSchema.describe('0 takes it back.'),
  acknowledgedBy: nameSchema.optional().describe('As it was when left out.'),
  machineTag: codeSchema.nullable().optional().describe('As it was when left out; null: not known, or out of several boxes.'),
  coin: moneyNotNegativeSchema.nullable().optional().describe('As it was when left out; null: not known.'),
  reason: reasonSchema,
});
export type CorrectHanded = z.infer<typeof correctHandedSchema>;

export const collectionListQuerySchema = pageQuerySchema.extend({
  siteId: idSchema.optional(),
  state: collectionStateSchema.optional(),
  from: localDateSchema.optional().describe('Only those booked to this day or later.'),
  before: localDateSchema.optional().describe('Only those booked to a day before this one.'),
  importFileId: idSchema.optional(),
});
export type CollectionListQuery = z.infer<typeof collectionListQuerySchema>;
export const collectionPageSchema = pageSchema(collectionSummarySchema);
