import { z } from 'zod';
import { figureNames } from '#domain/audit-data/elements';
import { codeSchema, idSchema, instantSchema, localDateSchema, nameSchema } from './format';
import { moneySchema } from './money';

const elementSchema = z.string().regex(/^[A-Z]+[0-9]+$/).describe('Element of the standard: `CA306`.');
const sideSchema = z
  .strictObject({ element: elementSchema, amount: moneySchema.nullable().describe('Null for a number of sales.'), number: z.string().nullable().describe('Null for an amount.') })
  .nullable()
  .describe('Null where the file does not tell it.');

/** A transmission of a machine (EVA DTS), read out at a collection. */
export const auditFileSchema = z
  .strictObject({
    id: idSchema,
    collectionId: idSchema,
    machineId: idSchema,
    machineTag: codeSchema,
    state: z.enum(['staged', 'accepted', 'replaced']).describe('`staged`: checked, waits to be accepted; `replaced`: another was uploaded for the machine before this one was accepted.'),
    serial: z.string().nullable().describe('Serial number that the file names (ID101).'),
    assetNumber: z.string().nullable().describe('Number of the machine that the file names (ID106).'),
    matchedBy: z.enum(['serial-number', 'asset-number', 'named']).describe('How the machine was found; `named`: the file says nothing by which it would be known, and who uploaded it named the machine.'),
    machineClock: z.string().nullable().describe('Day and time of the read-out by the clock of the machine, which may be wrong.'),
    readOutOn: z.strictObject({ clock: localDateSchema, visit: localDateSchema }).nullable().describe('Where the machine’s clock has another day than the visit: a file of another visit, or a clock that is wrong. Null where they agree, or it tells none.'),
    decimalsTold: z.boolean().describe('Whether the file says how many decimals its amounts have. If not, they are read as those of the currency.'),
    sha256: z.string(),
    readings: z
      .array(z.strictObject({ meterId: idSchema, meter: nameSchema, element: z.string().regex(/^[A-Z]+[0-9]+(\+[A-Z]+[0-9]+)?$/).describe('Element of the standard, or two that are added up: `CA306+VA201`, where test vends are counted with the coins and taken off by a meter of their own.'), value: z.string().nullable().describe('As the meter shows it. Null while this is not shown to you.') }))
      .describe('What the file says that meters of the board show.'),
    readByHand: z.array(z.strictObject({ meterId: idSchema, meter: nameSchema })).describe('Meters of which the file does not tell.'),
    figures: z
      .array(z.strictObject({ name: z.enum(figureNames), sinceReset: sideSchema, sinceSetUp: sideSchema }))
      .nullable()
      .describe('All that it tells, checked. Null until the collection is accepted, for whoever counts there.'),
    misfits: z
      .array(z.strictObject({ beside: z.enum(['before', 'after']), element: elementSchema, message: z.string() }))
      .nullable()
      .describe('Where it and the accepted file of the machine before or after it cannot both be right. Null until the collection is accepted, for whoever counts there.'),
    stagedAt: instantSchema,
    stagedBy: z.string(),
    acceptedAt: instantSchema.nullable(),
    acceptedBy: z.string().nullable(),
  })
  .meta({ id: 'AuditFile' });
export type AuditFile = z.infer<typeof auditFileSchema>;
export const auditFilesSchema = z.strictObject({ items: z.array(auditFileSchema) });
export type AuditFiles = z.infer<typeof auditFilesSchema>;

export const auditUploadQuerySchema = z.strictObject({
  collectionId: idSchema.describe('The collection at which the machine was read out.'),
  machineId: idSchema.optional().describe('The machine. Needed where the file does not name one that is known; never against what it names.'),
});
export type AuditUploadQuery = z.infer<typeof auditUploadQuerySchema>;
export const acceptAuditFileSchema = z.strictObject({ machineId: idSchema.describe('The machine that you were shown: accepting says that it is this one.') });
export type AcceptAuditFile = z.infer<typeof acceptAuditFileSchema>;
