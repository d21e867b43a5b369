import type { WhatIfAmounts, WhatIfAnswer } from '../api/shapes';
import { sum, type Money } from '../format/money';

type Party = WhatIfAnswer['parties'][number];
type Period = Pick<Party['periods'][number], 'startsOn' | 'endsBefore'>;

/** What one party, or all parties of one role, would have had more or less, in the order of time. */
export interface Series {
  readonly key: string;
  readonly role: Party['role'];
  /** Null where it stands for all of its role. */
  readonly name: string | null;
  readonly currency: string;
  readonly total: WhatIfAmounts;
  readonly madeOf: Readonly<Record<'shares' | 'charges' | 'borne', WhatIfAmounts>>;
  readonly periods: readonly (Period & { readonly total: WhatIfAmounts })[];
}

const roles = ['operator', 'site', 'other'] as const;

/** Of one site, a series for each party and its own periods; of many, one for each role and currency, by calendar month. */
export function seriesOf(parties: readonly Party[], { byParty }: { byParty: boolean }): Series[] {
  const groups = byParty ? parties.map((each) => [each]) : byCurrencyAndRole(parties);
  return groups.flatMap((group) => {
    const [first] = group;
    if (first === undefined) return [];
    const { role, currency } = first;
    return [{
      key: byParty ? `${first.partyId} ${currency}` : `${role} ${currency}`,
      role,
      currency,
      name: byParty || role === 'operator' ? first.name : null,
      total: together(group.map((each) => each.total)),
      madeOf: { shares: together(group.map((each) => each.shares)), charges: together(group.map((each) => each.charges)), borne: together(group.map((each) => each.borne)) },
      periods: inTime(group.flatMap((each) => each.periods), byParty),
    }];
  });
}

function byCurrencyAndRole(parties: readonly Party[]): Party[][] {
  const currencies = [...new Set(parties.map(({ currency }) => currency))].sort();
  return currencies.flatMap((currency) => roles.map((role) => parties.filter((each) => each.currency === currency && each.role === role)));
}

function inTime(periods: Party['periods'], byPeriod: boolean): Series['periods'] {
  const groups = new Map<string, { period: Period; totals: WhatIfAmounts[] }>();
  for (const { total, ...own } of periods) {
    const period = byPeriod ? own : monthOf(own.startsOn);
    const key = `${period.startsOn} ${period.endsBefore}`;
    const group = groups.get(key) ?? { period, totals: [] };
    group.totals.push(total);
    groups.set(key, group);
  }
  return [...groups.entries()].sort(([one], [other]) => (one < other ? -1 : 1)).map(([, { period, totals }]) => ({ ...period, total: together(totals) }));
}

/** A period of weeks counts for the month in which it begins. */
function monthOf(day: string): Period {
  const [year = 0, month = 0] = day.split('-').map(Number);
  const text = (months: number) => new Date(Date.UTC(year, months, 1)).toISOString().slice(0, 10);
  return { startsOn: text(month - 1), endsBefore: text(month) };
}

function together(amounts: readonly WhatIfAmounts[]): WhatIfAmounts {
  const all = (side: keyof WhatIfAmounts): Money => {
    const total = sum(amounts.map((each) => each[side]));
    if (total === null) throw new Error('amounts of several currencies in one sum');
    return total;
  };
  return { before: all('before'), after: all('after'), difference: all('difference') };
}
