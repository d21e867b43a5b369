import { toDayNumber } from '#domain/calendar/local-date';
import { z } from 'zod';
import { codeSchema, currencySchema, idSchema, instantSchema, localDateSchema, nameSchema, reasonSchema } from './format';
import { moneyNotNegativeSchema, moneySchema } from './money';

const sealSchema = z.string().trim().min(1).max(60).regex(/^\P{Cc}*$/u, 'must not hold control characters');
const holderSchema = z.enum(['collector', 'counting-room']);
const aboveZero = moneyNotNegativeSchema.refine(({ amount }) => /[1-9]/.test(amount), { path: ['amount'], message: 'must be above zero', params: { code: 'not-positive' } });

export const recordBagsSchema = z.strictObject({
  bags: z.array(z.strictObject({ id: idSchema.optional(), machineTag: codeSchema.nullable().default(null).describe('Out of whose box it came; null: it holds what came from several boxes.'), number: sealSchema.describe('Printed on the bag.'), seal: sealSchema.describe('Of the seal that closes it. A seal serves once.') })).min(1).max(50),
});
export type RecordBags = z.infer<typeof recordBagsSchema>;

const stepSchema = z.strictObject({
  seal: z.string().describe('Found on it.'),
  happenedAt: instantSchema,
  recordedBy: z.string(),
  withoutSecondPerson: z.boolean().describe('By who had filled the bag, in a business of one.'),
});
const bagFindingSchema = z.enum(['not-received', 'other-seal-when-received', 'not-opened', 'other-seal-when-opened']);
const bagPartSchema = z.enum(['filled', 'received', 'opened']).describe('`filled`: the number of the bag and the seal that was put on; the others: the seal that was found when it was received or opened.');
export const bagSchema = z
  .strictObject({
    id: idSchema,
    collectionId: idSchema,
    siteCode: codeSchema,
    number: z.string(),
    seal: z.string().describe('Put on at the site.'),
    received: stepSchema.nullable(),
    opened: stepSchema.nullable(),
    finding: bagFindingSchema.nullable().describe('What is wrong with it; null where it arrived and was opened under its seal.'),
    holder: holderSchema.describe('Who answers for what it lacks.'),
    withdrawn: z.boolean().describe('Its collection was discarded: nothing is found of it any more.'),
    corrections: z
      .array(
        z.strictObject({
          id: idSchema,
          what: bagPartSchema,
          was: z.strictObject({ number: z.string().nullable(), seal: z.string() }).describe('As it stood before.'),
          number: z.string().nullable(),
          seal: z.string(),
          reason: z.string(),
          recordedAt: instantSchema,
          recordedBy: z.string(),
          withoutSecondPerson: z.boolean().describe('By who had entered it, in a business of one.'),
        }),
      )
      .describe('What was read wrong, the oldest first; the bag shows what stands now.'),
  })
  .meta({ id: 'TrackedBag' });
export type Bag = z.infer<typeof bagSchema>;
export const bagsSchema = z.strictObject({ items: z.array(bagSchema) });
export type Bags = z.infer<typeof bagsSchema>;
export const bagListQuerySchema = z.strictObject({ day: localDateSchema.describe('Day of the collections.') });
export type BagListQuery = z.infer<typeof bagListQuerySchema>;

export const recordBagStepSchema = z.strictObject({
  kind: z.enum(['received', 'opened']),
  seal: sealSchema.describe('As found on the bag. Another one than was put on is recorded, and named.'),
  happenedAt: instantSchema.optional().describe('Now when left out.'),
});
export type RecordBagStep = z.infer<typeof recordBagStepSchema>;

export const correctBagSchema = z
  .strictObject({
    id: idSchema.optional().describe('Id of the correction.'),
    what: bagPartSchema,
    number: sealSchema.optional().describe('Printed on the bag; as it was when left out. Only of `filled`.'),
    seal: sealSchema.describe('As it is right.'),
    reason: reasonSchema,
  })
  .refine(({ what, number }) => what === 'filled' || number === undefined, { path: ['number'], message: 'The number is that of the bag, whenever it is read.', params: { code: 'not-allowed' } });
export type CorrectBag = z.infer<typeof correctBagSchema>;

export const createChangeFundSchema = z.strictObject({
  id: idSchema.optional(),
  code: codeSchema,
  kind: z.enum(['changer', 'tubes', 'hopper']),
  siteId: idSchema,
  machineId: idSchema.optional().describe('The machine whose tubes or hopper it is.'),
});
export type CreateChangeFund = z.infer<typeof createChangeFundSchema>;
export const changeFundSchema = z
  .strictObject({
    id: idSchema,
    code: codeSchema,
    kind: z.enum(['changer', 'tubes', 'hopper']),
    siteId: idSchema,
    siteCode: codeSchema,
    machineTag: codeSchema.nullable(),
    balance: moneySchema.describe('As the books have it now.'),
    countedOn: localDateSchema.nullable().describe('When it was last counted.'),
  })
  .meta({ id: 'ChangeFund' });
export type ChangeFund = z.infer<typeof changeFundSchema>;
export const changeFundsSchema = z.strictObject({ items: z.array(changeFundSchema) });
export type ChangeFunds = z.infer<typeof changeFundsSchema>;

const moveKindSchema = z
  .enum(['float-given', 'float-returned', 'fund-filled', 'fund-emptied', 'handed-in', 'paid-in'])
  .describe('A collector’s float given and returned; a change fund filled and emptied; what the counting room received of cash that a collector had counted at the machines; counted cash paid into the bank.');

export const recordCashMoveSchema = z
  .strictObject({
    id: idSchema.optional(),
    kind: moveKindSchema,
    movedOn: localDateSchema,
    amount: aboveZero,
    collectorId: idSchema.optional().describe('Whose float it is; of a fund: who filled it out of their float, or emptied it into it; of what is handed in: who collected.'),
    fundId: idSchema.optional(),
    collectionId: idSchema.optional().describe('A fund that was filled out of the boxes of this collection, before they were bagged.'),
    machineTag: codeSchema.nullable().optional().describe('With `collectionId`: the machine out of whose box it came; null where it came out of several, or nobody noted it. Left out, it is the machine of the fund.'),
    coin: moneyNotNegativeSchema.optional().describe('How much of what was filled out of boxes was coins, the rest being notes. Left out, it is put down to what lacks against the counts at the machine, else coins and notes as they were found.'),
    countedOn: localDateSchema.optional().describe('Of what is paid in: the day that it was counted on; of what is handed in: the day of the visits. The day of the move when left out.'),
    reference: z.string().trim().max(140).regex(/^\P{Cc}*$/u, 'must not hold control characters').optional().describe('Number of the deposit slip or receipt.'),
    reason: reasonSchema.optional().describe('Of a fund that was filled out of boxes; needed where they were bagged and are accepted, as it corrects their takings.'),
  })
  .superRefine((move, context) => {
    const needs = { 'float-given': ['collectorId'], 'float-returned': ['collectorId'], 'fund-filled': ['fundId'], 'fund-emptied': ['fundId'], 'handed-in': ['collectorId'], 'paid-in': [] } as const;
    const allows = { 'float-given': ['collectorId'], 'float-returned': ['collectorId'], 'fund-filled': ['fundId', 'collectorId', 'collectionId'], 'fund-emptied': ['fundId', 'collectorId'], 'handed-in': ['collectorId', 'countedOn'], 'paid-in': ['countedOn'] } as const;
    for (const name of needs[move.kind]) {
      if (move[name] === undefined) context.addIssue({ code: 'custom', path: [name], message: 'Is needed for this.', params: { code: 'missing' } });
    }
    for (const name of ['collectorId', 'fundId', 'collectionId', 'countedOn'] as const) {
      const isAllowed = (allows[move.kind] as readonly string[]).includes(name);
      if (move[name] !== undefined && !isAllowed) context.addIssue({ code: 'custom', path: [name], message: 'Has no place in this.', params: { code: 'not-allowed' } });
    }
    if (move.reason !== undefined && move.collectionId === undefined) {
      context.addIssue({ code: 'custom', path: ['reason'], message: 'Is for what was filled out of boxes.', params: { code: 'not-allowed' } });
    }
    if (move.machineTag !== undefined && move.collectionId === undefined) {
      context.addIssue({ code: 'custom', path: ['machineTag'], message: 'Is for what was filled out of boxes.', params: { code: 'not-allowed' } });
    }
    if (move.coin !== undefined && move.collectionId === undefined) {
      context.addIssue({ code: 'custom', path: ['coin'], message: 'Is for what was filled out of boxes.', params: { code: 'not-allowed' } });
    }
    if (move.collectorId !== undefined && move.collectionId !== undefined) {
      context.addIssue({ code: 'custom', path: ['collectionId'], message: 'It came out of the boxes or out of the float, not both.', params: { code: 'one-of-two' } });
    }
  });
export type RecordCashMove = z.infer<typeof recordCashMoveSchema>;

export const cashMoveSchema = z
  .strictObject({
    id: idSchema,
    kind: moveKindSchema,
    movedOn: localDateSchema,
    countedOn: localDateSchema.nullable(),
    amount: moneySchema,
    collectorId: idSchema.nullable(),
    collectorName: nameSchema.nullable(),
    fundId: idSchema.nullable(),
    fundCode: codeSchema.nullable(),
    collectionId: idSchema.nullable(),
    machineTag: codeSchema.nullable().describe('Out of whose box it was filled; null where nobody noted that, and of all else.'),
    coin: moneySchema.nullable().describe('How much of it was coins, of what was filled out of boxes; null where nobody noted that.'),
    reference: z.string(),
    takenBack: z.string().nullable().describe('Why it was taken back; null where it stands.'),
    recordedAt: instantSchema,
    recordedBy: z.string(),
  })
  .meta({ id: 'CashMove' });
export type CashMove = z.infer<typeof cashMoveSchema>;
export const takeBackCashMoveSchema = z.strictObject({ reason: reasonSchema });
export type TakeBackCashMove = z.infer<typeof takeBackCashMoveSchema>;

export const recordStocktakeSchema = z
  .strictObject({
    id: idSchema.optional(),
    place: z.enum(['counting-room', 'collector', 'fund']),
    collectorId: idSchema.optional(),
    fundId: idSchema.optional(),
    countedOn: localDateSchema,
    counted: moneyNotNegativeSchema,
    reason: reasonSchema.describe('Why it was counted, and by whom.'),
  })
  .superRefine(({ place, collectorId, fundId }, context) => {
    const wrong = (path: string, code: string, message: string) => context.addIssue({ code: 'custom', path: [path], message, params: { code } });
    if ((place === 'collector') !== (collectorId !== undefined)) wrong('collectorId', place === 'collector' ? 'missing' : 'not-allowed', 'Name the collector whose cash was counted, and nobody else.');
    if ((place === 'fund') !== (fundId !== undefined)) wrong('fundId', place === 'fund' ? 'missing' : 'not-allowed', 'Name the fund that was counted, and no other.');
  });
export type RecordStocktake = z.infer<typeof recordStocktakeSchema>;
export const stocktakeSchema = z
  .strictObject({
    id: idSchema,
    place: z.enum(['counting-room', 'collector', 'fund']),
    countedOn: localDateSchema,
    counted: moneySchema,
    booked: moneySchema.describe('As the books had it on that day, before this.'),
    difference: moneySchema.describe('Counted less booked: below zero is a shortage. It is booked to cash over and short.'),
  })
  .meta({ id: 'CashStocktake' });
export type Stocktake = z.infer<typeof stocktakeSchema>;

export const cashTrailQuerySchema = z.strictObject({ day: localDateSchema });
export type CashTrailQuery = z.infer<typeof cashTrailQuerySchema>;

const gapSchema = z.strictObject({
  kind: z.enum(['bags', 'handed-in', 'float', 'paid-in']).describe('`bags`: counted at the machines and not found on the table; `handed-in`: counted whole at the machines and not received by the counting room; `float`: not brought back; `paid-in`: found or received, and not paid into the bank.'),
  collectionId: idSchema.nullable(),
  siteCode: codeSchema.nullable(),
  amount: moneySchema.describe('Below zero: cash that should be there is not.'),
  holder: holderSchema,
});

const tubesGapSchema = z.strictObject({
  kind: z
    .enum(['tubes', 'fillings', 'let-out'])
    .describe('`tubes`: in the change tubes, against what should lie there, as far as the other two do not explain it; `fillings`: booked as filled into them, against what the machine was filled with; `let-out`: booked as emptied, against what the machine let out by hand.'),
  collectionId: idSchema,
  siteCode: codeSchema,
  amount: moneySchema.describe('Below zero: cash that should be there is not.'),
  holder: holderSchema.nullable().describe('Null for `tubes`: that CA1501 tells the contents is not confirmed, so nobody is asked to explain it.'),
});

export const cashTrailSchema = z
  .strictObject({
    day: localDateSchema,
    rounds: z.array(
      z.strictObject({
        collectorId: idSchema.nullable(),
        collectorName: z.string().describe('Empty where the collections name no collector.'),
        currency: currencySchema,
        float: moneySchema.describe('Given, and taken out of change funds into it.'),
        removed: moneySchema.describe('Out of the boxes, as counted at the machines, else as the counting room found it.'),
        handed: moneySchema,
        refunds: moneySchema,
        filled: moneySchema.describe('Put into change funds.'),
        toBring: moneySchema.describe('float + removed - handed - refunds - filled.'),
        found: moneySchema.describe('In the bags, by the counting room.'),
        toHandIn: moneySchema.describe('Of boxes that were counted whole at the machines: what was left of it for the counting room.'),
        handedIn: moneySchema.nullable().describe('Received of that by the counting room; null where nobody has said so: all of it is with the collector.'),
        floatReturned: moneySchema,
        difference: moneySchema.describe('found + handedIn + floatReturned - toBring. While a visit waits whose boxes were counted whole at the machines, what was handed in is compared with nothing.'),
        collections: z.int().min(0),
        notCountedAtMachine: z.int().min(0).describe('Collections with boxes that nobody counted at the machines, so that nothing of these can be missed on the way.'),
        waiting: z.int().min(0).describe('Not accepted yet: no figure has them.'),
        gaps: z.array(gapSchema),
      }),
    ),
    rooms: z
      .array(
        z.strictObject({
          currency: currencySchema,
          found: moneySchema,
          handedIn: moneySchema.describe('Received from collectors, of boxes that they counted whole at the machines.'),
          floatReturned: moneySchema,
          floatGiven: moneySchema,
          filled: moneySchema,
          emptied: moneySchema,
          toPayIn: moneySchema.describe('found + handedIn + floatReturned + emptied - floatGiven - filled.'),
          paidIn: moneySchema,
          gap: gapSchema.nullable(),
          balance: moneySchema.describe('What the books say lies in the counting room at the end of the day.'),
        }),
      )
      .describe('The counting room, by currency.'),
    tubes: z
      .array(
        z.strictObject({
          collectionId: idSchema,
          siteCode: codeSchema,
          machineTag: codeSchema,
          fundCodes: z.array(codeSchema).describe('Funds that the books keep for its tubes.'),
          collectorName: z.string(),
          contents: moneySchema.nullable().describe('In the tubes, as the machine told at the read-out (CA1501, not confirmed); null where it tells none.'),
          booked: moneySchema.describe('Of the funds when it was read out: counted, and filled in less emptied since. Whether moves on the day of the read-out or of the count came before or after it is unknown: those are in it with which the difference is smallest.'),
          kept: moneySchema.nullable().describe('Coins that sales left in the tubes since the funds were counted, less change.'),
          expected: moneySchema.nullable().describe('booked + kept.'),
          unknown: z.enum(['no-contents', 'never-counted', 'counted-apart', 'not-read-out-when-counted']).nullable().describe('Why nothing is expected; null where something is.'),
          filledTold: moneySchema.nullable().describe('Filled in since the read-out before, as the machine told; null without one.'),
          filledBooked: moneySchema.nullable().describe('The same by the books. Of moves on the days of the two read-outs those are in it that fit best.'),
          letOutTold: moneySchema.nullable().describe('Let out by hand since the read-out before, as the machine told; null without one.'),
          letOutBooked: moneySchema.nullable().describe('Emptied by the books, in the same way.'),
          gaps: z.array(tubesGapSchema),
        }),
      )
      .describe('Change tubes of machines that have a fund and were read out at an accepted collection of the day.'),
    bags: z.array(bagSchema),
    moves: z.array(cashMoveSchema),
  })
  .meta({ id: 'CashTrail' });
export type CashTrail = z.infer<typeof cashTrailSchema>;

const MOST_GAP_DAYS = 366;

export const cashGapsQuerySchema = z
  .strictObject({ from: localDateSchema.describe('First day looked at ...'), to: localDateSchema.describe('... and last one; a year at most.') })
  .refine(({ from, to }) => from <= to, { path: ['to'], message: 'must not lie before the first day', params: { code: 'before-start' } })
  .refine(({ from, to }) => toDayNumber(to) - toDayNumber(from) < MOST_GAP_DAYS, { path: ['to'], message: 'A year at most.', params: { code: 'too-long' } });
export type CashGapsQuery = z.infer<typeof cashGapsQuerySchema>;

const whoHasIt = {
  day: localDateSchema.describe('Day of the trail that shows it.'),
  collectorId: idSchema.nullable(),
  collectorName: z.string().describe('Empty where the collections name no collector, and where the counting room has to explain it all.'),
};

export const cashGapsSchema = z
  .strictObject({
    from: localDateSchema,
    to: localDateSchema,
    gaps: z.array(gapSchema.extend(whoHasIt)).describe('The oldest first. What lacked on one of the days and came on another is set off: a float brought back later, the cash of several days paid in at once.'),
    bags: z.array(z.strictObject({ ...whoHasIt, bagId: idSchema, collectionId: idSchema, siteCode: codeSchema, number: z.string(), finding: bagFindingSchema, holder: holderSchema })).describe('Bags that did not arrive, were not opened, or had another seal.'),
    waiting: z.int().min(0).describe('Collections of these days that are not accepted yet: no figure has them.'),
  })
  .meta({ id: 'CashGaps' });
export type CashGaps = z.infer<typeof cashGapsSchema>;
