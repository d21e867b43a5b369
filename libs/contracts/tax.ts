import { z } from 'zod';
import { daysInMonth } from '#domain/calendar/local-date';
import { parseMinor } from '#domain/money/amount';
import { isCurrencyCode, type CurrencyCode } from '#domain/money/currency';
import { isDecimal, oneHundred, toBillionths, type Decimal } from '#domain/money/decimal';
import type { MachineKinds, TaxRule } from '#domain/tax/types';
import { searchSchema } from './address';
import { countrySchema, currencySchema, idSchema, localDateSchema, nameSchema, reasonSchema, revisionSchema } from './format';
import { machineKindSchema } from './machine-kind';
import { pageQuerySchema, pageSchema } from './page';

/** Code of a tax area or of a tax within one; longer than other codes, because places are nested. */
export const taxCodeSchema = z
  .string()
  .regex(/^[A-Z0-9][A-Z0-9-]{0,29}$/, 'must be 1 to 30 capital letters, digits or hyphens, beginning with a letter or digit')
  .describe('1 to 30 capital letters, digits or hyphens.');

const titleSchema = nameSchema.describe('As it shall stand on the statement.');
const componentIdSchema = z.string().regex(/^[a-z0-9][a-z0-9-]{0,39}$/, 'must be 1 to 40 small letters, digits or hyphens, beginning with a letter or digit').describe('Stays the same over the rows of a tax. 1 to 40 small letters, digits or hyphens.');
const machineKindsSchema = z
  .union([z.literal('all'), z.array(machineKindSchema).min(1).max(50)])
  .describe('The sorts of machine that it covers, or `all`.');

/** The cast says what the check makes sure of. */
const ratePercentSchema = z
  .string()
  .max(29)
  .refine(isRate, 'must be a plain decimal from 0 to 100 with at most nine places and no superfluous zeros')
  .describe('Percent, exact: 4.5.') as unknown as z.ZodType<Decimal, Decimal>;

const amountSchema = z.string().max(24).describe('Decimal text with exactly the digits of the currency of the rule: 35.00.');
const dayOfYear = { month: z.int().min(1).max(12), day: z.int().min(1).max(31) };

const common = {
  title: titleSchema,
  currency: currencySchema.describe('Currency of its amounts, which is that of the sites in the area.'),
  machineKinds: machineKindsSchema,
  filedBy: z.enum(['operator', 'site']).describe('Who files it. What the site files is owed to the site.'),
  borneBy: z.enum(['all', 'operator']).describe('Taken before the split, or out of the operator\'s share.'),
  breakIns: z.enum(['in-base', 'not-in-base']).describe('Whether stolen cash, as far as meters show it, is taxed all the same.'),
};
const rate = {
  negative: z.enum(['zero', 'carry']).describe('A tax below zero is zero, or is set against the tax of the next period.'),
  capPerMachineMonth: amountSchema.nullable().describe('At most this much per machine and month, or null.'),
};
const rateComponent = { id: componentIdSchema, title: titleSchema, ratePercent: ratePercentSchema };

const insideSchema = z.strictObject({
  method: z.literal('inside').describe('The price contains the tax.'),
  ...common,
  ...rate,
  components: z.array(z.strictObject(rateComponent)).min(1).max(20),
});
const onTakingsSchema = z.strictObject({
  method: z.literal('on-takings').describe('A rate of takings.'),
  ...common,
  ...rate,
  rounding: z.enum(['apart', 'together']).describe('Each component is rounded, or their exact sum is.'),
  components: z.array(z.strictObject({ ...rateComponent, machineKinds: machineKindsSchema })).min(1).max(20),
});
const fixedSchema = z.strictObject({
  method: z.literal('fixed').describe('An amount per machine.'),
  ...common,
  per: z.enum(['month', 'year']),
  timing: z.discriminatedUnion('kind', [
    z.strictObject({ kind: z.literal('by-days-covered') }),
    z.strictObject({
      kind: z.literal('when-due'),
      ...dayOfYear,
      onPlacement: z.boolean().describe('Whether a machine that comes later owes it on its first day.'),
    }),
  ]),
  components: z
    .array(z.strictObject({ id: componentIdSchema, title: titleSchema, amount: amountSchema, placedLater: z.strictObject({ ...dayOfYear, amount: amountSchema }).nullable() }))
    .min(1)
    .max(20),
});

/** What a dated row of a tax says. Amounts are text in the digits of its currency, rates exact decimals as text. */
export const taxRuleDocumentSchema = z
  .discriminatedUnion('method', [insideSchema, onTakingsSchema, fixedSchema])
  .superRefine((document, context) => {
    for (const wrong of wrongIn(document)) context.addIssue({ code: 'custom', path: [...wrong.path], message: wrong.message, params: { code: wrong.code } });
  })
  .meta({ id: 'TaxRuleDocument' });
export type TaxRuleDocument = z.infer<typeof taxRuleDocumentSchema>;

export const taxAreaSchema = z
  .strictObject({ id: idSchema, code: taxCodeSchema, name: nameSchema, country: countrySchema, revision: revisionSchema })
  .meta({ id: 'TaxArea' });
export type TaxArea = z.infer<typeof taxAreaSchema>;

const areaFields = { code: taxCodeSchema, name: nameSchema, country: countrySchema };
export const createTaxAreaSchema = z.strictObject({ id: idSchema.optional(), ...areaFields });
export type CreateTaxArea = z.infer<typeof createTaxAreaSchema>;
export const changeTaxAreaSchema = z.strictObject(areaFields).partial();
export type ChangeTaxArea = z.infer<typeof changeTaxAreaSchema>;

export const taxAreaListQuerySchema = pageQuerySchema.extend({ search: searchSchema.optional() });
export type TaxAreaListQuery = z.infer<typeof taxAreaListQuerySchema>;
export const taxAreaPageSchema = pageSchema(taxAreaSchema);

export const taxRuleSchema = z
  .strictObject({
    id: idSchema,
    taxAreaId: idSchema,
    code: taxCodeSchema.describe('The tax that the row belongs to: a change of its rate is a new row of the same code.'),
    validFrom: localDateSchema.describe('First day in force.'),
    validTo: localDateSchema.nullable().describe('First day no longer in force, or null.'),
    source: z.string().describe('Where it is published, and when it was read.'),
    document: taxRuleDocumentSchema,
  })
  .meta({ id: 'TaxRule' });
export type TaxRuleRecord = z.infer<typeof taxRuleSchema>;

/** What a change that reaches into settled periods needs, so that nobody makes one without knowing. */
export const retroactiveFields = {
  reason: reasonSchema.optional().describe('Needed when the change reaches into a period whose settlement is numbered already.'),
  confirmRetroactive: z.boolean().default(false).describe('Says that such periods shall be settled again, by difference, in the next settlement.'),
};

export const createTaxRuleSchema = z.strictObject({
  id: idSchema.optional(),
  code: taxCodeSchema,
  validFrom: localDateSchema,
  validTo: localDateSchema.nullable().default(null),
  source: z.string().trim().max(500).default(''),
  document: taxRuleDocumentSchema,
  endsPrevious: z.boolean().default(false).describe('Ends the row of the same tax that is in force on `validFrom` on that day: for a change of rate.'),
  ...retroactiveFields,
});
export type CreateTaxRule = z.infer<typeof createTaxRuleSchema>;

export const endTaxRuleSchema = z.strictObject({ validTo: localDateSchema.describe('First day no longer in force.'), ...retroactiveFields });
export type EndTaxRule = z.infer<typeof endTaxRuleSchema>;

export const taxRuleParamsSchema = z.strictObject({ id: idSchema, ruleId: idSchema });

export const taxRuleListQuerySchema = pageQuerySchema.extend({ on: localDateSchema.optional().describe('Only rows in force on this day.') });
export type TaxRuleListQuery = z.infer<typeof taxRuleListQuerySchema>;
export const taxRulePageSchema = pageSchema(taxRuleSchema);

/** A dated row as it is stored, its document checked or not yet. */
export type StoredTaxRule = {
  readonly id: string;
  readonly taxAreaId: string;
  readonly code: string;
  readonly validFrom: TaxRule['from'];
  readonly validTo: TaxRule['until'];
  readonly source: string;
  readonly document: TaxRuleDocument;
};

/** The domain's rule of a stored row. */
export function toTaxRule(row: StoredTaxRule): TaxRule {
  const { currency, title, machineKinds, filedBy, borneBy, breakIns } = row.document;
  const minor = (text: string): bigint => minorOf(text, currency);
  const base = {
    id: row.id,
    // A tax keeps its name over all rows and is not mixed up with one of the same code in another area.
    taxId: `${row.taxAreaId}:${row.code}`,
    areaId: row.taxAreaId,
    title,
    source: row.source,
    from: row.validFrom,
    until: row.validTo,
    machineKinds,
    filedBy,
    borneBy,
    breakIns,
  };
  const { document } = row;
  if (document.method === 'fixed') {
    return {
      ...base,
      method: 'fixed',
      per: document.per,
      timing: document.timing,
      components: document.components.map(({ id, title: componentTitle, amount, placedLater }) => ({
        id,
        title: componentTitle,
        amountMinor: minor(amount),
        placedLater: placedLater === null ? null : { month: placedLater.month, day: placedLater.day, amountMinor: minor(placedLater.amount) },
      })),
    };
  }
  const cap = document.capPerMachineMonth;
  const rated = { ...base, negative: document.negative, capPerMachineMonthMinor: cap === null ? null : minor(cap) };
  if (document.method === 'inside') return { ...rated, method: 'inside', components: document.components };
  return { ...rated, method: 'on-takings', rounding: document.rounding, components: document.components };
}


function minorOf(text: string, currency: CurrencyCode): bigint {
  const parsed = parseMinor(text, currency);
  if (!parsed.ok) throw new Error(`a tax rule was not checked before it was used: ${parsed.problem}`);
  return parsed.minor;
}

function isRate(text: string): boolean {
  if (!isDecimal(text)) return false;
  const value = toBillionths(text);
  return value >= 0n && value <= oneHundred;
}

type Wrong = { readonly path: readonly (string | number)[]; readonly code: string; readonly message: string };
type Unchecked = z.infer<typeof insideSchema> | z.infer<typeof onTakingsSchema> | z.infer<typeof fixedSchema>;

/** What only several fields together show. */
function wrongIn(document: Unchecked): Wrong[] {
  const ids = document.components.map((component) => component.id);
  return [
    ...ids.flatMap((id, index) => (ids.indexOf(id) === index ? [] : [{ path: ['components', index, 'id'], code: 'id-used-twice', message: 'Another component has this id.' }])),
    ...(document.method === 'fixed' ? placedTooEarly(document) : ratesAboveHundred(document)),
    ...(document.method === 'on-takings' ? document.components.flatMap((component, index) => kindsOutside(document.machineKinds, component.machineKinds, index)) : []),
    // How many digits an unknown currency has nobody can say; it is reported on its own.
    ...(isCurrencyCode(document.currency) ? amountsIn(document) : []).flatMap(({ path, text }) => wrongAmount(path, text, document.currency)),
    ...daysIn(document).flatMap(({ path, month, day }) =>
      // 29 February is a day of the year that most years do not have.
      day <= daysInMonth(2023, month) ? [] : [{ path, code: 'no-such-day', message: 'Not every year has this day.' }],
    ),
  ];
}

/** The rates of one tax together take at most everything. */
function ratesAboveHundred({ components }: Exclude<Unchecked, { method: 'fixed' }>): Wrong[] {
  const rates = components.map(({ ratePercent }) => ratePercent);
  if (!rates.every(isRate) || rates.reduce((sum, rate) => sum + toBillionths(rate), 0n) <= oneHundred) return [];
  return [{ path: ['components'], code: 'rates-above-hundred', message: 'Together the rates are more than 100 percent.' }];
}

/** An amount for machines that come later needs a day on which they owe it: that of their placement. */
function placedTooEarly({ timing, components }: Extract<Unchecked, { method: 'fixed' }>): Wrong[] {
  if (timing.kind === 'when-due' && timing.onPlacement) return [];
  return components.flatMap(({ placedLater }, index) =>
    placedLater === null
      ? []
      : [{ path: ['components', index, 'placedLater'], code: 'placed-later-needs-placement', message: 'Only a tax that a machine owes on its first day has another amount for one that comes later in the year.' }],
  );
}

function kindsOutside(ofRule: MachineKinds, ofComponent: MachineKinds, index: number): Wrong[] {
  if (ofRule === 'all' || ofComponent === 'all') return [];
  const outside = ofComponent.filter((kind) => !ofRule.includes(kind));
  if (outside.length === 0) return [];
  return [{ path: ['components', index, 'machineKinds'], code: 'kind-not-covered', message: `The rule does not cover ${outside.join(', ')}.` }];
}

function amountsIn(document: Unchecked): { path: (string | number)[]; text: string }[] {
  if (document.method !== 'fixed') return document.capPerMachineMonth === null ? [] : [{ path: ['capPerMachineMonth'], text: document.capPerMachineMonth }];
  return document.components.flatMap(({ amount, placedLater }, index) => [
    { path: ['components', index, 'amount'], text: amount },
    ...(placedLater === null ? [] : [{ path: ['components', index, 'placedLater', 'amount'], text: placedLater.amount }]),
  ]);
}

function daysIn(document: Unchecked): { path: (string | number)[]; month: number; day: number }[] {
  if (document.method !== 'fixed') return [];
  const { timing } = document;
  return [
    ...(timing.kind === 'when-due' ? [{ path: ['timing', 'day'], month: timing.month, day: timing.day }] : []),
    ...document.components.flatMap(({ placedLater }, index) => (placedLater === null ? [] : [{ path: ['components', index, 'placedLater', 'day'], ...placedLater }])),
  ];
}

function wrongAmount(path: (string | number)[], text: string, currency: CurrencyCode): Wrong[] {
  const parsed = parseMinor(text, currency);
  if (!parsed.ok) return [{ path, code: parsed.problem, message: 'must be digits with exactly the decimals of the currency, without separators' }];
  return parsed.minor < 0n ? [{ path, code: 'negative', message: 'must not be below zero' }] : [];
}
