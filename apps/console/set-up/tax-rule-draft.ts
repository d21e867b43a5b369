import type { CurrencyCode } from '#domain/money/currency';
import type { CreateRuleData } from '../generated';
import type { TaxRule } from '../api/shapes';
import { asKind, isKind } from '../format/code';
import { readTypedAmount } from '../format/typed-amount';
import { asTyped, readTypedPercent } from '../format/typed-percent';

type RuleDocument = CreateRuleData['body']['document'];
export type Method = RuleDocument['method'];
type Rated = Exclude<RuleDocument, { method: 'fixed' }>;
type Fixed = Extract<RuleDocument, { method: 'fixed' }>;
type DayOfYear = NonNullable<Fixed['components'][number]['placedLater']>;

/** A part of a tax as it is typed: a rate, or an amount where the tax is one for each machine. */
export interface ComponentDraft {
  readonly id: string;
  readonly title: string;
  readonly figure: string;
  /** The amount for a machine that comes later in the year, and from which day on; empty for the same amount. */
  readonly laterFigure: string;
  readonly laterMonth: string;
  readonly laterDay: string;
}

/** What most taxes leave as it is. */
export interface DetailsDraft {
  /** Sorts of machine, between commas; empty for all of them. */
  readonly kinds: string;
  /** The most for each machine and month; empty for no such limit. */
  readonly cap: string;
  readonly negative: Rated['negative'];
  readonly rounding: 'apart' | 'together';
  readonly timing: Fixed['timing']['kind'];
  readonly dueMonth: string;
  readonly dueDay: string;
  readonly onPlacement: boolean;
}

const sameAmount = { laterFigure: '', laterMonth: '1', laterDay: '1' } as const;
export const newPart = (number: number): ComponentDraft => ({ id: `part-${String(number)}`, title: '', figure: '', ...sameAmount });
/** What a new tax is, before anybody has named it: the one part of a tax is called as the tax is. */
export const onePart: readonly ComponentDraft[] = [{ id: 'tax', title: '', figure: '', ...sameAmount }];
export const plainDetails: DetailsDraft = { kinds: '', cap: '', negative: 'zero', rounding: 'apart', timing: 'by-days-covered', dueMonth: '1', dueDay: '1', onPlacement: true };

export function componentsOf({ document }: TaxRule, locale: string): readonly ComponentDraft[] {
  const typed = (text: string): string => asTyped({ text, locale });
  if (document.method !== 'fixed') return document.components.map(({ id, title, ratePercent }) => ({ id, title, figure: typed(ratePercent), ...sameAmount }));
  return document.components.map(({ id, title, amount, placedLater }) => ({
    id, title, figure: typed(amount),
    ...(placedLater === null ? sameAmount : { laterFigure: typed(placedLater.amount), laterMonth: String(placedLater.month), laterDay: String(placedLater.day) }),
  }));
}

export function detailsOf({ document }: TaxRule, locale: string): DetailsDraft {
  const kinds = document.machineKinds === 'all' ? '' : document.machineKinds.join(', ');
  if (document.method !== 'fixed') {
    const { negative, capPerMachineMonth } = document;
    return { ...plainDetails, kinds, negative, cap: capPerMachineMonth === null ? '' : asTyped({ text: capPerMachineMonth, locale }), rounding: document.method === 'on-takings' ? document.rounding : 'apart' };
  }
  const { timing } = document;
  if (timing.kind === 'by-days-covered') return { ...plainDetails, kinds };
  return { ...plainDetails, kinds, timing: timing.kind, dueMonth: String(timing.month), dueDay: String(timing.day), onPlacement: timing.onPlacement };
}

interface RuleDraft {
  /** The row that a new rate follows; what the form does not ask stays as it is there. */
  readonly before: RuleDocument | null;
  readonly title: string;
  readonly method: Method;
  readonly currency: CurrencyCode;
  readonly per: 'month' | 'year';
  readonly filedBy: RuleDocument['filedBy'];
  readonly borneBy: RuleDocument['borneBy'];
  readonly breakIns: RuleDocument['breakIns'];
  readonly components: readonly ComponentDraft[];
  readonly details: DetailsDraft;
  readonly locale: string;
}

/** Where a rule cannot be read: a detail, or a part with its place in the list. */
export type WrongPlace = 'kinds' | 'cap' | 'dueDay' | `figure-${number}` | `title-${number}` | `laterFigure-${number}` | `laterDay-${number}`;

export interface ReadRule {
  readonly document: RuleDocument;
  readonly wrong: readonly WrongPlace[];
}

/** The rule as the api takes it. */
export function readRule(draft: RuleDraft): ReadRule {
  const { title, currency, filedBy, borneBy, breakIns, components, details } = draft;
  const kinds = details.kinds.split(',').map((each) => each.trim()).filter((each) => each !== '');
  const common = { title: title.trim(), currency, machineKinds: kinds.length === 0 ? ('all' as const) : [...new Set(kinds.map(asKind))], filedBy, borneBy, breakIns };
  const read = draft.method === 'fixed' ? readFixed(draft, common) : readRated(draft, draft.method, common);
  const wrong: WrongPlace[] = [
    ...(kinds.every(isKind) ? [] : ['kinds' as const]),
    // Only one part alone may go without a name: it is called as the tax is.
    ...components.flatMap((each, index) => (components.length > 1 && each.title.trim() === '' ? [`title-${index}` as const] : [])),
    ...read.wrong,
  ];
  return { document: read.document, wrong };
}

type Common = Pick<RuleDocument, 'title' | 'currency' | 'machineKinds' | 'filedBy' | 'borneBy' | 'breakIns'>;

const nameOf = (component: ComponentDraft, { title }: Common): string => (component.title.trim() === '' ? title : component.title.trim());

function readFixed({ before, currency, per, components, details, locale }: RuleDraft, common: Common): ReadRule {
  const same = before?.method === 'fixed' ? before : null;
  const amountOf = (text: string): string | null => readTypedAmount({ text, currency, locale })?.amount ?? null;
  const isDue = details.timing === 'when-due';
  const mayDiffer = isDue && details.onPlacement;
  const due = readDay(details.dueMonth, details.dueDay);
  const read = components.map((component) => {
    const isOther = mayDiffer && component.laterFigure.trim() !== '';
    return { component, amount: amountOf(component.figure), later: isOther ? { amount: amountOf(component.laterFigure), from: readDay(component.laterMonth, component.laterDay) } : null };
  });
  const wrong: WrongPlace[] = [
    ...(isDue && due === null ? ['dueDay' as const] : []),
    ...read.flatMap(({ amount, later }, index): WrongPlace[] => [
      ...(amount === null ? [`figure-${index}` as const] : []),
      ...(later !== null && later.amount === null ? [`laterFigure-${index}` as const] : []),
      ...(later !== null && later.from === null ? [`laterDay-${index}` as const] : []),
    ]),
  ];
  return {
    wrong,
    document: {
      ...common, method: 'fixed', per: same?.per ?? per,
      timing: isDue ? { kind: 'when-due', ...(due ?? firstDay), onPlacement: details.onPlacement } : { kind: 'by-days-covered' },
      components: read.map(({ component, amount, later }) => ({
        id: component.id, title: nameOf(component, common), amount: amount ?? '', placedLater: later === null ? null : { ...(later.from ?? firstDay), amount: later.amount ?? '' },
      })),
    },
  };
}

function readRated({ before, currency, components, details, locale }: RuleDraft, method: Rated['method'], common: Common): ReadRule {
  const cap = details.cap.trim() === '' ? null : readTypedAmount({ text: details.cap, currency, locale });
  const read = components.map((component) => ({ component, percent: readTypedPercent({ text: component.figure, locale }) }));
  const wrong: WrongPlace[] = [...(details.cap.trim() !== '' && cap === null ? ['cap' as const] : []), ...read.flatMap(({ percent }, index) => (percent === null ? [`figure-${index}` as const] : []))];
  const rate = { negative: details.negative, capPerMachineMonth: cap?.amount ?? null };
  const rates = read.map(({ component, percent }) => ({ id: component.id, title: nameOf(component, common), ratePercent: percent ?? '' }));
  if (method === 'inside') return { wrong, document: { ...common, ...rate, method, components: rates } };
  // Which sorts of machine a part covers is not asked: it stays as it is.
  const same = before?.method === 'on-takings' ? before : null;
  return {
    wrong,
    document: { ...common, ...rate, method, rounding: details.rounding, components: rates.map((each) => ({ ...each, machineKinds: same?.components.find(({ id }) => id === each.id)?.machineKinds ?? ('all' as const) })) },
  };
}

const firstDay = { month: 1, day: 1 } as const;

/** A day of every year; null for one that there is not, or not each year. */
function readDay(month: string, day: string): Pick<DayOfYear, 'month' | 'day'> | null {
  if (!/^\d{1,2}$/.test(month.trim()) || !/^\d{1,2}$/.test(day.trim())) return null;
  const [ofYear, ofMonth] = [Number(month), Number(day)];
  const last = new Date(Date.UTC(2023, ofYear, 0)).getUTCDate();
  return ofYear >= 1 && ofYear <= 12 && ofMonth >= 1 && ofMonth <= last ? { month: ofYear, day: ofMonth } : null;
}
