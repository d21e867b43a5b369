import { z } from 'zod';
import { codeSchema, idSchema, instantSchema, nameSchema, reasonSchema } from './format';
import { shownSchema } from './meter';
import { pageQuerySchema } from './page';

export const machineTokenSchema = z
  .strictObject({ id: idSchema, machineId: idSchema, machineTag: codeSchema, madeAt: instantSchema, madeBy: z.string(), revokedAt: instantSchema.nullable(), revokedBy: z.string().nullable(), lastReportAt: instantSchema.nullable() })
  .meta({ id: 'MachineToken' });
export type MachineToken = z.infer<typeof machineTokenSchema>;
export const machineTokensSchema = z.strictObject({ items: z.array(machineTokenSchema) });
export type MachineTokens = z.infer<typeof machineTokensSchema>;
export const makeMachineTokenSchema = z.strictObject({ id: idSchema.optional(), machineId: idSchema });
export type MakeMachineToken = z.infer<typeof makeMachineTokenSchema>;
export const madeMachineTokenSchema = z.strictObject({ id: idSchema, machineId: idSchema, secret: z.string().nullable().describe('The bearer token, shown this one time; null when the request is repeated.') }).meta({ id: 'MadeMachineToken' });
export type MadeMachineToken = z.infer<typeof madeMachineTokenSchema>;

const eventKindSchema = z.enum(['door-opened', 'door-closed', 'fault', 'fault-cleared']);
export const reportSchema = z.strictObject({
  machineTag: codeSchema.describe('Of the machine that reports: a token speaks for one.'),
  readings: z
    .array(z.strictObject({ meter: nameSchema.describe('Label of the meter.'), value: shownSchema.describe('Cumulative, as the meter shows it.'), readAt: instantSchema }))
    .max(1000)
    .default([]),
  events: z
    .array(z.strictObject({ kind: eventKindSchema, happenedAt: instantSchema, fault: z.string().regex(/^[A-Za-z0-9._-]{0,40}$/).default('').describe('Code of the fault.') }))
    .max(1000)
    .default([]),
});
export type Report = z.infer<typeof reportSchema>;
export const reportedSchema = z.strictObject({ readings: z.int().min(0), events: z.int().min(0) }).describe('How many of them were new.').meta({ id: 'Reported' });
export type Reported = z.infer<typeof reportedSchema>;

export const machineFaultSchema = z
  .strictObject({
    machineId: idSchema,
    machineTag: codeSchema,
    siteName: nameSchema.nullable().describe('Where it stands; null in the shop.'),
    kind: z.enum(['fault', 'door']).describe('`door`: it was open.'),
    fault: z.string().nullable(),
    startedAt: instantSchema,
    endedAt: instantSchema.nullable().describe('Null: the machine has not said that it is over.'),
    proposes: z.enum(['outage', 'end']).describe('`outage`: of an hour or more, and no outage is recorded for it; `end`: the outage is recorded, and the machine says that it is over.'),
    outageId: idSchema.nullable().describe('The outage to end.'),
  })
  .meta({ id: 'MachineFault' });
export const dismissFaultSchema = z.strictObject({
  ...machineFaultSchema.pick({ machineId: true, kind: true, startedAt: true }).shape,
  fault: z.string().max(40).nullable().default(null).describe('As the list has it.'),
  reason: reasonSchema.describe('Why it is no outage.'),
});
export type DismissFault = z.infer<typeof dismissFaultSchema>;
export const dismissedFaultSchema = z
  .strictObject({ ...machineFaultSchema.pick({ machineId: true, machineTag: true, kind: true, fault: true, startedAt: true }).shape, reason: z.string(), dismissedAt: instantSchema, dismissedBy: z.string() })
  .meta({ id: 'DismissedFault' });
export type DismissedFault = z.infer<typeof dismissedFaultSchema>;
export const machineFaultsSchema = z.strictObject({
  dismissed: z.array(dismissedFaultSchema).max(100).describe('Dismissed in the last 30 days, the latest first, 100 at most.'),
  items: z.array(machineFaultSchema), more: z.boolean().describe('There are more than these, the latest; record outages or their ends to see the next.'),
});
export type MachineFaults = z.infer<typeof machineFaultsSchema>;

export const machineReportsQuerySchema = pageQuerySchema.pick({ limit: true });
export type MachineReportsQuery = z.infer<typeof machineReportsQuerySchema>;
/** The latest of each, by when it happened; in which order it arrived has no say. */
export const machineReportsSchema = z.strictObject({
  readings: z.array(z.strictObject({ meterId: idSchema, meter: nameSchema, value: z.string(), readAt: instantSchema, receivedAt: instantSchema }).meta({ id: 'ReportedReading' })),
  events: z.array(z.strictObject({ kind: eventKindSchema, fault: z.string().nullable(), happenedAt: instantSchema, receivedAt: instantSchema }).meta({ id: 'MachineEvent' })),
});
export type MachineReports = z.infer<typeof machineReportsSchema>;
