/** Short ways to write a ready area. Whatever a source does not settle is left at the reading that costs the operator most. */
import type { LocalDate } from '#domain/calendar/local-date';
import type { Decimal } from '#domain/money/decimal';
import { localDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { decimal } from '#domain/money/decimal';
import type { LawLimitDocument } from '../law-limit';
import type { ReadyTaxArea } from '../ready-area';

type Rule = ReadyTaxArea['rules'][number];
type Document = Rule['document'];

/** The day on which all sources of the library were last read. */
const READ_ON = '2026-11-25';

const caution = 'Check with your tax authority or a licensed practitioner before you use it: rates change, and which rule holds depends on the machines and on who controls the cash.';

const read = (source: string): string => `${source}; read ${READ_ON}, to be checked with the tax authority.`;

type Area = Omit<ReadyTaxArea, 'caution' | 'notes' | 'limits'> & { readonly notes?: string[]; readonly limits?: ReadyTaxArea['limits'] };

export function area({ notes = [], limits = [], ...fields }: Area): ReadyTaxArea {
  return { ...fields, caution, notes, limits };
}

type Dated = { readonly code: string; readonly from: string; readonly until?: string; readonly source: string };

function dated({ code, from, until, source }: Dated, document: Document): Rule {
  return { code, validFrom: day(from), validTo: until === undefined ? null : day(until), source: read(source), document };
}

const day = (text: string): LocalDate => localDate(text);

const common = { machineKinds: 'all', filedBy: 'operator', borneBy: 'all', breakIns: 'in-base' } as const;

/** A tax that the price contains; the first component takes what rounding leaves. */
export function insideTax(fields: Dated & { title: string; currency: CurrencyCode; components: readonly { id: string; title: string; ratePercent: string }[] }): Rule {
  const { title, currency, components } = fields;
  return dated(fields, {
    ...common,
    method: 'inside',
    title,
    currency,
    negative: 'zero',
    capPerMachineMonth: null,
    components: components.map((component) => ({ ...component, ratePercent: decimal(component.ratePercent) })),
  });
}

/** A rate of the takings of each machine, with a highest amount per machine and month or without. */
export function onTakingsTax(fields: Dated & { title: string; currency: CurrencyCode; ratePercent: string; capPerMachineMonth: string | null }): Rule {
  const { title, currency, ratePercent, capPerMachineMonth } = fields;
  return dated(fields, {
    ...common,
    method: 'on-takings',
    title,
    currency,
    negative: 'zero',
    capPerMachineMonth,
    rounding: 'apart',
    components: [{ id: 'tax', title, ratePercent: decimal(ratePercent), machineKinds: 'all' }],
  });
}

/** An amount per machine and year that falls due whole on a day of the year, and for a machine that comes later on its first day. */
export function yearlyTax(
  fields: Dated & { title: string; currency: CurrencyCode; amount: string; due: { month: number; day: number }; placedLater?: { month: number; day: number; amount: string } },
): Rule {
  const { title, currency, amount, due, placedLater = null } = fields;
  return dated(fields, {
    ...common,
    method: 'fixed',
    title,
    currency,
    per: 'year',
    timing: { kind: 'when-due', ...due, onPlacement: true },
    components: [{ id: 'machine', title, amount, placedLater }],
  });
}

export function limit(fields: { from: string; source: string; document: LawLimitDocument }): ReadyTaxArea['limits'][number] {
  return { validFrom: day(fields.from), validTo: null, source: read(fields.source), document: fields.document };
}

export function percent(text: string): Decimal {
  return decimal(text);
}
