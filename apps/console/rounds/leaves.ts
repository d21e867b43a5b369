import { isCurrencyCode, type CurrencyCode } from '#domain/money/currency';

/**
 * A visit that did not fit, as single values that somebody can correct: each with the place that the api names when it
 * refuses one, so that its message leads to the field.
 */
export type Sent = Readonly<Record<string, unknown>>;

export const groups = ['counts', 'bags', 'readings', 'unread', 'refunds', 'cashHanded'] as const;
export type Group = (typeof groups)[number];

/** What people correct of each entry, by its way inside. Ids and signatures stay as they are. */
const corrected = ['machineTag', 'coin/amount', 'note/amount', 'badCoin/amount', 'houseCoin/amount', 'meteredAmount/amount', 'number', 'seal', 'value', 'why', 'note', 'refundedOn', 'amount/amount', 'paidBy', 'acknowledgedBy'] as const;
export type FieldName = (typeof corrected)[number];

export interface Leaf {
  /** From the visit down: `counts/0/coin/amount`. */
  readonly path: string;
  readonly name: FieldName | 'pieces' | 'grams' | 'tokens';
  /** Ids of the denominations of pieces or grams, several where they were weighed unsorted, or of the token; else none. */
  readonly of: readonly string[];
  readonly value: string;
}

export interface Entry {
  readonly group: Group;
  readonly index: number;
  readonly leaves: readonly Leaf[];
}

export function entriesOf(visit: Sent): readonly Entry[] {
  return groups.flatMap((group) => listIn(visit, group).map((_item, index) => ({ group, index, leaves: leavesOf(visit, `${group}/${index}`) })));
}

function leavesOf(visit: Sent, base: string): Leaf[] {
  const plain = corrected.flatMap((name): Leaf[] => {
    const value = valueAt(visit, `${base}/${name}`);
    return typeof value === 'string' ? [{ path: `${base}/${name}`, name, of: [], value }] : [];
  });
  const figures = (list: string, name: 'pieces' | 'grams' | 'tokens', id: string): Leaf[] => {
    const lines = valueAt(visit, `${base}/${list}`);
    return (Array.isArray(lines) ? lines : []).flatMap((_line, place): Leaf[] => {
      const path = `${base}/${list}/${place}/${name === 'tokens' ? 'pieces' : name}`;
      const [value, of] = [valueAt(visit, path), valueAt(visit, `${base}/${list}/${place}/${id}`)];
      const ids = (Array.isArray(of) ? of : [of]).filter((id) => typeof id === 'string');
      return (typeof value === 'number' || typeof value === 'string') && ids.length > 0 ? [{ path, name, of: ids, value: String(value) }] : [];
    });
  };
  return [...plain, ...figures('tally', 'pieces', 'issueId'), ...figures('tally', 'grams', 'issueId'), ...figures('tally', 'grams', 'mixedIssueIds'), ...figures('tokens', 'tokens', 'tokenId')];
}

/** The currency of an amount at a place, where it is one that somebody can read; a phone may have sent anything. */
export function currencyOf(visit: Sent, { path, value }: Pick<Leaf, 'path' | 'value'>): CurrencyCode | null {
  const currency = path.endsWith('/amount') ? valueAt(visit, path.replace(/amount$/, 'currency')) : null;
  return typeof currency === 'string' && isCurrencyCode(currency) && /^\d{1,15}(\.\d{1,4})?$/.test(value) ? currency : null;
}

/** The visit with another value at a place; a number stays one where the new text is one. */
export function withValue(visit: Sent, path: string, text: string): Sent {
  const before = valueAt(visit, path);
  const value = typeof before === 'number' && /^\d{1,9}$/.test(text) ? Number(text) : text;
  return changed(visit, path.split('/'), value) as Sent;
}

/** Whether this is the last box of its machine, as of counts and bags alone can be said. */
export function isLastBox(visit: Sent, { group, index }: Pick<Entry, 'group' | 'index'>): boolean | null {
  return group === 'counts' || group === 'bags' ? valueAt(visit, `${group}/${index}/removal`) === true : null;
}

export function withLastBox(visit: Sent, { group, index }: Pick<Entry, 'group' | 'index'>, isLast: boolean): Sent {
  return changed(visit, [group, String(index), 'removal'], isLast) as Sent;
}

/** Whether full boxes were exchanged for empty ones. */
export function isExchanged(visit: Sent): boolean {
  return visit['boxesExchanged'] === true;
}

/** The visit without the entries that were marked, `counts/0`. */
export function without(visit: Sent, marked: ReadonlySet<string>): Sent {
  const kept = groups.flatMap((group) => (Array.isArray(visit[group]) ? [[group, listIn(visit, group).filter((_item, index) => !marked.has(`${group}/${index}`))]] : []));
  return { ...visit, ...(Object.fromEntries(kept) as Sent) };
}

function listIn(visit: Sent, group: Group): readonly unknown[] {
  const list = visit[group];
  return Array.isArray(list) ? (list as readonly unknown[]) : [];
}

export function valueAt(value: unknown, path: string): unknown {
  return path.split('/').reduce<unknown>((found, step) => (typeof found === 'object' && found !== null ? (found as Record<string, unknown>)[step] : undefined), value);
}

function changed(value: unknown, [step, ...rest]: readonly string[], leaf: unknown): unknown {
  if (step === undefined) return leaf;
  if (Array.isArray(value)) return value.map((item: unknown, index) => (String(index) === step ? changed(item, rest, leaf) : item));
  if (typeof value !== 'object' || value === null) return value;
  const record = value as Record<string, unknown>;
  return { ...record, [step]: changed(record[step], rest, leaf) };
}
