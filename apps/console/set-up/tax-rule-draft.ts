import type { CreateRuleData } from '../generated';
import type { TaxRule } from '../api/shapes';
import type { CurrencyCode } from '#domain/money/currency';
import { readTypedAmount } from '../format/typed-amount';
import { asTyped, readTypedPercent } from '../format/typed-percent';

type RuleDocument = CreateRuleData['body']['document'];
export type Method = RuleDocument['method'];

/** A part of a tax as it is typed: a rate, or an amount where the tax is one for each machine. */
export interface ComponentDraft {
  readonly id: string;
  readonly title: string;
  readonly figure: string;
}

/** What a new part is, before anybody has named it: the one part of a tax is called as the tax is. */
export const onePart: readonly ComponentDraft[] = [{ id: 'tax', title: '', figure: '' }];

export function componentsOf({ document }: TaxRule, locale: string): readonly ComponentDraft[] {
  const typed = (text: string): string => asTyped({ text, locale });
  if (document.method === 'fixed') return document.components.map(({ id, title, amount }) => ({ id, title, figure: typed(amount) }));
  return document.components.map(({ id, title, ratePercent }) => ({ id, title, figure: typed(ratePercent) }));
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
  readonly locale: string;
}

export interface ReadRule {
  readonly document: RuleDocument;
  /** Places in the list of components whose figure cannot be read. */
  readonly wrong: readonly number[];
}

/** The rule as the api takes it. */
export function readRule({ before, title, method, currency, per, filedBy, borneBy, breakIns, components, locale }: RuleDraft): ReadRule {
  const common = { title: title.trim(), currency, machineKinds: before?.machineKinds ?? ('all' as const), filedBy, borneBy, breakIns };
  const titleOf = (component: ComponentDraft): string => (component.title.trim() === '' ? title.trim() : component.title.trim());
  if (method === 'fixed') {
    const same = before?.method === 'fixed' ? before : null;
    const read = components.map((component) => ({ component, amount: readTypedAmount({ text: component.figure, currency, locale }) }));
    return {
      wrong: read.flatMap(({ amount }, index) => (amount === null ? [index] : [])),
      document: {
        ...common, method, per: same?.per ?? per, timing: same?.timing ?? { kind: 'by-days-covered' },
        components: read.map(({ component, amount }) => ({ id: component.id, title: titleOf(component), amount: amount?.amount ?? '', placedLater: same?.components.find(({ id }) => id === component.id)?.placedLater ?? null })),
      },
    };
  }
  const read = components.map((component) => ({ component, percent: readTypedPercent({ text: component.figure, locale }) }));
  const wrong = read.flatMap(({ percent }, index) => (percent === null ? [index] : []));
  const rate = { negative: before !== null && before.method !== 'fixed' ? before.negative : ('zero' as const), capPerMachineMonth: before !== null && before.method !== 'fixed' ? before.capPerMachineMonth : null };
  const rates = read.map(({ component, percent }) => ({ id: component.id, title: titleOf(component), ratePercent: percent ?? '' }));
  if (method === 'inside') return { wrong, document: { ...common, ...rate, method, components: rates } };
  const same = before?.method === 'on-takings' ? before : null;
  return {
    wrong,
    document: { ...common, ...rate, method, rounding: same?.rounding ?? 'apart', components: rates.map((each) => ({ ...each, machineKinds: same?.components.find(({ id }) => id === each.id)?.machineKinds ?? ('all' as const) })) },
  };
}
