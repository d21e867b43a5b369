import { z } from 'zod';
import { codeSchema, currencySchema, idSchema, instantSchema, localDateSchema, nameSchema, reasonSchema, revisionSchema } from './format';
import { moneyNotNegativeSchema, moneySchema } from './money';
import { pageQuerySchema, pageSchema } from './page';
import { fieldErrorSchema } from './problem';
import { openRefundClaimSchema } from './refund-claim';

const siteFields = { siteId: idSchema, siteCode: codeSchema, siteName: nameSchema };
const siteIdsSchema = z
  .array(idSchema)
  .min(1)
  .max(200)
  .refine((ids) => new Set(ids).size === ids.length, { message: 'names a site twice', params: { code: 'taken' } })
  .describe('The sites in the order in which they are visited.');

export const roundSchema = z
  .strictObject({
    id: idSchema,
    name: nameSchema,
    plannedOn: localDateSchema,
    collectorId: idSchema,
    collectorName: nameSchema,
    state: z.enum(['planned', 'cancelled']),
    cancelledBecause: z.string().nullable(),
    stops: z.array(z.strictObject({ ...siteFields, collectedOn: localDateSchema.nullable().describe('First visit on the day of the round or later; null while there is none.'), plannedAgainOn: localDateSchema.nullable().describe('Day of the next round after this one that goes there; null where none does.') })),
    revision: revisionSchema,
    recordedAt: instantSchema,
    recordedBy: z.string(),
  })
  .meta({ id: 'Round' });
export type Round = z.infer<typeof roundSchema>;
export const roundPageSchema = pageSchema(roundSchema);
export const roundListQuerySchema = pageQuerySchema.extend({
  from: localDateSchema.optional().describe('Only rounds of this day or later.'),
  before: localDateSchema.optional().describe('Only rounds before this day.'),
  missed: z.literal('yes').optional().describe('Only rounds that were not called off, with a stop at an open site where nobody has been since; not where another round of before that day was to go there after it.'),
});
export type RoundListQuery = z.infer<typeof roundListQuerySchema>;

export const planRoundSchema = z.strictObject({
  id: idSchema.optional(),
  name: nameSchema,
  plannedOn: localDateSchema,
  collectorId: idSchema.describe('The person who collects.'),
  siteIds: siteIdsSchema,
});
export type PlanRound = z.infer<typeof planRoundSchema>;

export const changeRoundSchema = z.strictObject({
  name: nameSchema.optional(),
  plannedOn: localDateSchema.optional(),
  collectorId: idSchema.optional(),
  siteIds: siteIdsSchema.optional(),
});
export type ChangeRound = z.infer<typeof changeRoundSchema>;
export const cancelRoundSchema = z.strictObject({ reason: reasonSchema });

export const setRhythmSchema = z.strictObject({
  everyDays: z.int().min(1).max(366).describe('Days from one visit to the next.'),
  boxLimit: moneyNotNegativeSchema.nullable().default(null).describe('Cash in one box at which the site is due before that; null for none.'),
});
export type SetRhythm = z.infer<typeof setRhythmSchema>;
export const rhythmSchema = z.strictObject({ siteId: idSchema, everyDays: z.int(), boxLimit: moneySchema.nullable() }).meta({ id: 'CollectionRhythm' });
export type Rhythm = z.infer<typeof rhythmSchema>;

/** When each site is to be visited. It says what probably lies in the boxes, so nobody who counts is shown it. */
export const collectionsDueSchema = z.strictObject({
  items: z
    .array(
      z
        .strictObject({
          ...siteFields,
          lastCollectedOn: localDateSchema.nullable(),
          everyDays: z.int().nullable(),
          boxLimit: moneySchema.nullable(),
          dueOn: localDateSchema.nullable().describe('Null where neither a rhythm was set nor a box fills up to a limit.'),
          because: z.enum(['rhythm', 'cash']).nullable().describe('`cash`: a box reaches its limit before the rhythm has run.'),
          daysOverdue: z.int().min(0),
          cash: moneySchema.describe('What probably lies in the boxes: what machines reported, else average takings a day for each day since the last count.'),
          machines: z.int().min(0),
          machinesWithoutEstimate: z.int().min(0),
          withheld: z.boolean().describe('Nothing is estimated for the reader: they have a hand in a count there that waits, or a round of today sends them there.'),
          planned: z.strictObject({ roundId: idSchema, plannedOn: localDateSchema, collectorName: nameSchema }).nullable().describe('The next round that goes there.'),
        })
        .meta({ id: 'CollectionDue' }),
    )
    .describe('Sites at which machines stand: overdue ones first, then by the day on which they are due.'),
});
export type CollectionsDue = z.infer<typeof collectionsDueSchema>;

const machinesToVisitSchema = z.array(
  z.strictObject({
    machineId: idSchema,
    tag: codeSchema,
    game: z.string().nullable(),
    leaves: z.boolean().describe('Its placement here ends on that day: what is in its box belongs to its removal.'),
    meters: z.array(z.strictObject({ meterId: idSchema, label: nameSchema, digits: z.int().nullable() })),
  }),
);
const termsFields = {
  tokens: z.array(z.string()).describe('Tokens that the terms know, by the name that they give them.'),
  byMeters: z.boolean().describe('The terms go by the meters: each box needs its readings or, of a machine whose meters are not recorded, the cash that they imply.'),
};

/** What the site gave back to players and presents at the next visit: its own figures, which tell nothing of what a box holds. */
const claimsSchema = z.array(openRefundClaimSchema);

/** What there is to open, read and count at a site: what a form asks for. The only figures are those of the site's own slips. */
export const siteBoxesSchema = z
  .strictObject({ ...siteFields, currency: currencySchema, timeZone: z.string(), ...termsFields, machines: machinesToVisitSchema, refundClaims: claimsSchema })
  .meta({ id: 'SiteBoxes' });
export type SiteBoxes = z.infer<typeof siteBoxesSchema>;
export const siteBoxesQuerySchema = z.strictObject({ at: instantSchema.optional().describe('As the machines stood then; now when left out.') });
export type SiteBoxesQuery = z.infer<typeof siteBoxesQuerySchema>;

/** What a collector's phone holds: where to go today, and which machines and meters are there. The only figures are those of the sites' own slips. */
export const ownStopsSchema = z.strictObject({
  personId: idSchema.nullable().describe('Null: the account belongs to no person, so no round is theirs.'),
  stops: z.array(
    z
      .strictObject({
        roundId: idSchema,
        roundName: nameSchema,
        plannedOn: localDateSchema,
        ...siteFields,
        address: z.array(z.string()),
        currency: currencySchema,
        timeZone: z.string(),
        collected: z.boolean(),
        ...termsFields,
        withOffice: z.boolean().describe('A visit of yours arrived from a phone, and the office has still to settle it.'),
        machines: machinesToVisitSchema,
        refundClaims: claimsSchema,
      })
      .meta({ id: 'OwnStop' }),
  ),
  keptVisits: z
    .array(
      z
        .strictObject({
          id: idSchema,
          siteName: nameSchema.nullable().describe('Null where the visit names no site of this operator.'),
          happenedAt: z.string().nullable().describe('As the phone sent it.'),
          receivedAt: instantSchema,
          why: z.strictObject({ code: z.string(), errors: z.array(fieldErrorSchema) }).nullable().describe('What kept it from being entered, as who enters a visit by hand is told: nothing of what was expected.'),
        })
        .meta({ id: 'OwnKeptVisit' }),
    )
    .describe('Your own visits that arrived and are not entered, the latest 50: the office has still to settle them, and until then you may withdraw them. Nothing that was counted is among it.'),
});
export type OwnStops = z.infer<typeof ownStopsSchema>;
