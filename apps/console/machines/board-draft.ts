import { daysToldApart } from '#domain/meters/difference';
import { capacityOf } from '#domain/meters/meter';
import type { CurrencyCode } from '#domain/money/currency';
import type { FitBoardData } from '../generated';
import { isShown } from '../format/shown';
import { readTypedAmount } from '../format/typed-amount';

type FitBoard = FitBoardData['body'];
export type Tender = FitBoard['meters'][number]['tender'];
export const tenders: readonly Tender[] = ['coin', 'note', 'plays', 'test-plays', 'refunds'];

/** A meter as it is typed. */
export interface MeterDraft {
  readonly key: number;
  readonly label: string;
  readonly tender: Tender;
  /** Key of the meter beside which it counts the same again; `own` for one that is said to count cash of its own; null while nothing is said. */
  readonly secondOf: number | 'own' | null;
  readonly unitValue: string;
  readonly digits: string;
  readonly mostPerHour: string;
  readonly value: string;
}

export type MeterField = 'label' | 'unitValue' | 'digits' | 'mostPerHour' | 'value';

export const newMeter = (key: number, tender: Tender): MeterDraft => ({ key, label: '', tender, secondOf: null, unitValue: '', digits: '6', mostPerHour: '', value: '' });

const isWhole = (text: string): boolean => /^[1-9]\d{0,8}$/.test(text.trim());
const isDigits = (text: string): boolean => text.trim() === '' || (/^\d{1,2}$/.test(text.trim()) && Number(text) >= 3 && Number(text) <= 12);

interface Reading {
  readonly currency: CurrencyCode;
  readonly locale: string;
}

/** The fields of a meter that are not filled in as they have to be. */
export function wrongIn(meter: MeterDraft, { currency, locale }: Reading): readonly MeterField[] {
  const checks: readonly (readonly [MeterField, boolean])[] = [
    ['label', meter.label.trim() !== ''],
    ['unitValue', readTypedAmount({ text: meter.unitValue, currency, locale, zero: true }) !== null],
    ['digits', isDigits(meter.digits)],
    ['mostPerHour', isWhole(meter.mostPerHour)],
    ['value', isShown(meter.value)],
  ];
  return checks.flatMap(([name, isRight]) => (isRight ? [] : [name]));
}

/** Days between readings up to which a fall of it can be told from a reset; null while its digits or its pace are not typed yet. */
export function daysToldApartOf({ digits, mostPerHour }: MeterDraft): number | null {
  if (!isDigits(digits) || !isWhole(mostPerHour)) return null;
  return daysToldApart({ capacity: capacityOf(digits.trim() === '' ? null : Number(digits)), mostPerHour: BigInt(mostPerHour.trim()) });
}

/** Whether it has to be said of a meter if it counts the same cash as one before it: what was counted twice would else be expected twice. */
export function isSecondUnsaid(meter: MeterDraft, meters: readonly MeterDraft[]): boolean {
  return meter.secondOf === null && firstsFor(meter, meters).some(({ key }) => key < meter.key);
}

/** Meters beside which this one may be a second counter: they count the same, have none yet, and are none themselves. */
export function firstsFor(meter: MeterDraft, meters: readonly MeterDraft[]): readonly MeterDraft[] {
  if (meter.tender === 'test-plays' || meter.tender === 'refunds' || meters.some(({ secondOf }) => secondOf === meter.key)) return [];
  return meters.filter((first) => first.key !== meter.key && first.tender === meter.tender && typeof first.secondOf !== 'number' && !meters.some(({ key, secondOf }) => key !== meter.key && secondOf === first.key));
}

/** The meter as the api takes it; only for one in which nothing is wrong. */
export function readMeter(meter: MeterDraft, { currency, locale, meters }: Reading & { readonly meters: readonly MeterDraft[] }): FitBoard['meters'][number] {
  const unitValue = readTypedAmount({ text: meter.unitValue, currency, locale, zero: true });
  const first = firstsFor(meter, meters).find(({ key }) => key === meter.secondOf);
  return {
    label: meter.label.trim(), tender: meter.tender, digits: meter.digits.trim() === '' ? null : Number(meter.digits), unitValue: unitValue ?? { amount: '', currency }, mostPerHour: Number(meter.mostPerHour), value: meter.value.trim(), ...(first !== undefined ? { secondOfLabel: first.label.trim() } : meter.secondOf === 'own' ? { secondOfLabel: null } : {}),
  };
}
