import type { VarianceReport } from '../api/shapes';
import type { ReportAsked } from '../api/variances-api';

/** Days from the first up to and including the last, and whose flags of them are wanted. */
export interface DaysAsked {
  readonly from: string;
  readonly to: string;
  readonly machineId?: string;
  readonly collectorId?: string;
}

/** Reads days out of the address; null where it names none. Nonsense is left out. */
export function daysAskedBy(parameters: URLSearchParams): DaysAsked | null {
  const day = (name: string) => /^\d{4}-\d\d-\d\d$/.exec(parameters.get(name) ?? '')?.[0];
  const id = (name: string) => /^[0-9a-f-]{36}$/.exec(parameters.get(name) ?? '')?.[0];
  const [from, to, machineId, collectorId] = [day('from'), day('to'), id('machine'), id('collector')];
  if (from === undefined || to === undefined) return null;
  return { from, to, ...(machineId === undefined ? {} : { machineId }), ...(collectorId === undefined ? {} : { collectorId }) };
}

/** The way to the flags that a row of the report counts, and of a collector to those over visits of several, too; null for rows that name no collector, which nothing picks out. */
export function pathOfFlags(row: VarianceReport['rows'][number], asked: ReportAsked): string | null {
  if (asked.by === 'collector' && row.id === null) return null;
  const month = asked.by === 'month' ? daysOfMonth(row.code) : null;
  const [from, to] = month === null ? [asked.from, asked.to] : [later(month.from, asked.from), earlier(month.to, asked.to)];
  const named = asked.by === 'month' || row.id === null ? {} : { [asked.by]: row.id };
  return `variances/flags?${new URLSearchParams({ from, to, ...(asked.siteId === undefined ? {} : { site: asked.siteId }), ...named }).toString()}`;
}

/** The first and the last day of `2026-05`. */
export function daysOfMonth(month: string): { readonly from: string; readonly to: string } {
  const [year = 0, number = 0] = month.split('-').map(Number);
  return { from: `${month}-01`, to: new Date(Date.UTC(year, number, 0)).toISOString().slice(0, 10) };
}

export function dayAfter(day: string): string {
  return new Date(Date.parse(day) + 86_400_000).toISOString().slice(0, 10);
}

const later = (one: string, other: string): string => (one > other ? one : other);
const earlier = (one: string, other: string): string => (one < other ? one : other);
