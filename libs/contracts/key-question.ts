import { z } from 'zod';
import { custodySideSchema, denialHowSchema } from './custody';
import { codeSchema, idSchema, instantSchema, localDateSchema, nameSchema } from './format';
import { keyClassSchema, outsideCopiesKnownSchema } from './key-code';
import { keyHolderSchema, keyPersonSchema, keyWhereaboutsSchema, lockOpensSchema } from './key-whereabouts';
import { pageQuerySchema, pageSchema } from './page';

/** The two clocks that every question about keys is asked by. */
export const momentFields = {
  at: instantSchema.optional().describe('When it was so in the world; now when left out.'),
  knownAt: instantSchema.optional().describe('As the books knew it at this instant; as they know it now when left out.'),
};
const momentAnswered = { at: instantSchema, knownAt: instantSchema };

export const momentQuerySchema = z.strictObject(momentFields);
export type MomentQuery = z.infer<typeof momentQuerySchema>;

/* Who holds which copy. -------------------------------------------------------------------------------------------- */

const holdingFilters = {
  ...momentFields,
  personId: idSchema.optional().describe('Only what this person holds.'),
  keyStoreId: idSchema.optional().describe('Only what lies in this store.'),
  keyCodeId: idSchema.optional().describe('Only copies of this code.'),
  class: keyClassSchema.optional(),
  heldAtSiteId: idSchema.optional().describe('Only what somebody of this site holds or hangs at a place there.'),
  opensAtSiteId: idSchema.optional().describe('Only what fits a lock of a machine that stands at this site.'),
};
export const keyHoldingListQuerySchema = pageQuerySchema.extend(holdingFilters);
export type KeyHoldingListQuery = z.infer<typeof keyHoldingListQuerySchema>;
export const keyHoldingExportQuerySchema = z.strictObject(holdingFilters);
export type KeyHoldingExportQuery = z.infer<typeof keyHoldingExportQuerySchema>;

export const keyHoldingSchema = z
  .strictObject({
    keyCopyId: idSchema,
    number: codeSchema,
    keyCodeId: idSchema,
    code: codeSchema,
    class: keyClassSchema,
    outsideCopies: outsideCopiesKnownSchema,
    where: keyWhereaboutsSchema,
    machines: z.int().min(0).describe('Machines whose locks it fits.'),
    sites: z.int().min(0).describe('Sites at which these machines stand.'),
  })
  .meta({ id: 'KeyHolding' });
export type KeyHolding = z.infer<typeof keyHoldingSchema>;
export const keyHoldingPageSchema = pageSchema(keyHoldingSchema);

/* What a person can open. ------------------------------------------------------------------------------------------ */

const viaSchema = z
  .enum(['holds', 'custodian', 'user', 'responsible'])
  .describe('`holds`: has the copy; `custodian`: of the store that it is in; `user`: on the list of the named place where it hangs; `responsible`: for that place.');

/** Keys that a person has at hand, and what they open. */
export const personKeysSchema = z
  .strictObject({
    ...momentAnswered,
    person: keyPersonSchema.nullable().describe('Null for an account that belongs to no person of the operator.'),
    copies: z.array(
      z.strictObject({
        keyCopyId: idSchema,
        number: codeSchema,
        keyCodeId: idSchema,
        code: codeSchema,
        class: keyClassSchema,
        outsideCopies: outsideCopiesKnownSchema,
        via: viaSchema,
        where: keyWhereaboutsSchema,
      }),
    ),
    stores: z.array(z.strictObject({ store: keyHolderSchema, copies: z.int().min(0) })).describe('Stores of which the person is the custodian, with the number of copies in them.'),
    opens: z
      .array(
        z.strictObject({
          machineId: idSchema,
          machineTag: codeSchema,
          siteId: idSchema.nullable(),
          siteCode: codeSchema.nullable(),
          siteName: nameSchema.nullable(),
          place: z.string(),
          opens: lockOpensSchema,
          code: codeSchema,
          numbers: z.array(codeSchema).describe('Copies with which it can be opened.'),
        }),
      )
      .describe('Locks that these copies fit, by site and machine; what the stores hold is not among them.'),
  })
  .meta({ id: 'PersonKeys' });

/** One's own, and what one may do with them. */
export const ownKeysSchema = z
  .strictObject({ ...personKeysSchema.shape, handsOn: z.array(keyClassSchema).describe('Keys of which classes you may hand on as the rules are now: cash-box keys where the policy lets them go from hand to hand, and never at a site.') })
  .meta({ id: 'OwnKeys' });
export type OwnKeys = z.infer<typeof ownKeysSchema>;
export type PersonKeys = z.infer<typeof personKeysSchema>;

/* Who could open a machine. ---------------------------------------------------------------------------------------- */

export const openersQuerySchema = z
  .strictObject({
    ...momentFields,
    opens: z.enum(['cash-box', 'play-area']).default('cash-box'),
    from: instantSchema.optional().describe('Instead of `at`: any time from this instant ...'),
    before: instantSchema.optional().describe('... to before this one; up to now when left out.'),
  })
  .refine(({ at, from }) => at === undefined || from === undefined, { path: ['at'], message: 'Give either a moment or an interval.', params: { code: 'one-of-two' } })
  .refine(({ from, before }) => from !== undefined || before === undefined, { path: ['from'], message: 'An interval needs its beginning.', params: { code: 'missing' } })
  .refine(({ from, before }) => from === undefined || before === undefined || Date.parse(from) < Date.parse(before), {
    path: ['before'],
    message: 'Must be later than the beginning.',
    params: { code: 'before-start' },
  });
export type OpenersQuery = z.infer<typeof openersQuerySchema>;

const spanFields = {
  from: instantSchema.describe('Since when: copy at hand and lock fitted.'),
  to: instantSchema.nullable().describe('Until when; null: still.'),
};
const fittingCopyFields = { keyCopyId: idSchema, number: codeSchema, code: codeSchema, lockId: idSchema, place: z.string() };

export const openersSchema = z
  .strictObject({
    machineId: idSchema,
    machineTag: codeSchema,
    opens: z.enum(['cash-box', 'play-area']),
    from: instantSchema,
    before: instantSchema,
    knownAt: instantSchema,
    sites: z
      .array(z.strictObject({ siteId: idSchema, siteCode: codeSchema, siteName: nameSchema, placedOn: localDateSchema, removedOn: localDateSchema.nullable() }))
      .describe('Where the machine stood then; none: at no site.'),
    locks: z
      .array(z.strictObject({ lockId: idSchema, place: z.string(), opens: lockOpensSchema, code: codeSchema, outsideCopies: outsideCopiesKnownSchema, fittedAt: instantSchema, removedAt: instantSchema.nullable() }))
      .describe('Locks that were on it then.'),
    outsideCopies: z.boolean().describe('Others, whom nobody can name, hold copies that fit one of these locks: as is known today, whatever moment was asked about.'),
    people: z.array(
      z.strictObject({
        person: keyPersonSchema,
        everyLock: z.boolean().describe('At some moment they had keys to all locks that were then on it.'),
        reasons: z.array(z.strictObject({ via: viaSchema, holder: keyHolderSchema, ...fittingCopyFields, ...spanFields })),
      }),
    ),
    loose: z
      .array(z.strictObject({ holder: keyHolderSchema.nullable().describe('A store without a custodian; null: missing.'), ...fittingCopyFields, ...spanFields }))
      .describe('Fitting copies that nobody answers for.'),
  })
  .meta({ id: 'Openers' });
export type Openers = z.infer<typeof openersSchema>;

/* What needs somebody's attention. --------------------------------------------------------------------------------- */

const handedCopiesFields = {
  eventId: idSchema,
  numbers: z.array(codeSchema),
  from: keyHolderSchema.nullable(),
  to: keyHolderSchema.nullable(),
};

export const keyAttentionSchema = z
  .strictObject({
    ...momentAnswered,
    missing: z.array(z.strictObject({ keyCopyId: idSchema, number: codeSchema, code: codeSchema, class: keyClassSchema, since: instantSchema, lastHolder: keyHolderSchema.nullable() })),
    overdue: z
      .array(z.strictObject({ keyCopyId: idSchema, number: codeSchema, code: codeSchema, class: keyClassSchema, holder: keyHolderSchema, since: instantSchema, dueBackAt: instantSchema }))
      .describe('Lent, and not back when they were due.'),
    breaches: z
      .array(
        z.strictObject({ keyCopyId: idSchema, number: codeSchema, code: codeSchema, holder: keyHolderSchema, since: instantSchema, putRightBy: instantSchema, late: z.boolean() }),
      )
      .describe('Cash-box keys that were found with somebody of a site or at a place there, without an owner’s exception, and are still there.'),
    unacknowledged: z
      .array(z.strictObject({ ...handedCopiesFields, kind: z.enum(['issued', 'returned', 'handed-over']), happenedAt: instantSchema, acknowledgeBy: instantSchema, late: z.boolean(), deniedBy: z.array(z.strictObject({ side: custodySideSchema, how: denialHowSchema })).describe('Who says that it was not so, and has not confirmed it since.') }))
      .describe('Not yet confirmed by who received them, or denied by who gave them.'),
    withoutAccessKey: z
      .array(
        z.strictObject({
          siteId: idSchema,
          siteCode: codeSchema,
          siteName: nameSchema,
          none: z.boolean().describe('No machine of the site can be opened by its staff.'),
          machines: z.array(z.strictObject({ machineId: idSchema, machineTag: codeSchema, hasAccessLock: z.boolean().describe('False: no lock of the access class is recorded on it.') })),
        }),
      )
      .describe('Sites with machines that none of their staff has an access key to.'),
    custodiansWhoCollect: z
      .array(z.strictObject({ store: keyHolderSchema, person: keyHolderSchema, since: instantSchema }))
      .describe('Custodians who are collectors now, or have collected since they keep the store within three months, while the policy wants the two apart.'),
    onePersonReview: z
      .strictObject({ reviewOn: localDateSchema, relaxed: z.array(z.string()) })
      .nullable()
      .describe('The day has passed by which the owner wanted to look again at whether one person is still enough, with what is relaxed.'),
  })
  .meta({ id: 'KeyAttention' });
export type KeyAttention = z.infer<typeof keyAttentionSchema>;

/* One copy over time. ---------------------------------------------------------------------------------------------- */

export const copyHistoryQuerySchema = z.strictObject({ knownAt: momentFields.knownAt });
export type CopyHistoryQuery = z.infer<typeof copyHistoryQuerySchema>;

export const copyHistorySchema = z
  .strictObject({
    keyCopyId: idSchema,
    number: codeSchema,
    keyCodeId: idSchema,
    code: codeSchema,
    class: keyClassSchema,
    outsideCopies: outsideCopiesKnownSchema,
    knownAt: instantSchema,
    stays: z
      .array(
        z.strictObject({
          state: z.enum(['held', 'missing', 'destroyed']),
          holder: keyHolderSchema.nullable(),
          from: instantSchema,
          to: instantSchema.nullable(),
          eventId: idSchema,
          says: z.string().describe('What happened at the beginning.'),
          reason: z.string(),
          recordedAt: instantSchema,
          recordedBy: z.string().describe('`user:<id>`, `token:<id>` or `system:<name>`.'),
          dueBackAt: instantSchema.nullable(),
        }),
      )
      .describe('Without gaps from the moment it was made, oldest first.'),
  })
  .meta({ id: 'CopyHistory' });
export type CopyHistory = z.infer<typeof copyHistorySchema>;
