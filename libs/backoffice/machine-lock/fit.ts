import type { FitLock, FitLocks, MachineLock } from '#contracts/machine-lock';
import { done, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { lockConstraints, lostCut } from './constraints';
import { insertLocks, selectFittings, selectLocksById, type Fitting } from './machine-lock.sql';

/** Puts a lock on a machine. From then on every copy of its cut opens it. */
export async function fitLock(deps: Backoffice, caller: Caller, command: FitLock): Promise<Outcome<MachineLock>> {
  return perform(
    deps,
    caller,
    'machine-lock.fit',
    async ({ tx, now }) => {
      const fitted = await checkAndFit(tx, { locks: [{ ...command, id: command.id ?? deps.newId() }], now, path: () => [] });
      if (!fitted.ok) return fitted;
      const [lock] = fitted.value;
      if (lock === undefined) throw new Error('a lock was not stored');
      return done(lock);
    },
    { constraints: lockConstraints },
  );
}

/** Many locks at once, for whoever begins with machines and a drawer of keys: all of them or none. */
export async function fitLocks(deps: Backoffice, caller: Caller, command: FitLocks): Promise<Outcome<{ items: MachineLock[] }>> {
  return perform(
    deps,
    caller,
    'machine-lock.fit',
    async ({ tx, now }) => {
      const locks = command.locks.map((lock) => ({ ...lock, id: lock.id ?? deps.newId() }));
      const fitted = await checkAndFit(tx, { locks, now, path: (index) => ['locks', index] });
      return fitted.ok ? done({ items: fitted.value }) : fitted;
    },
    { constraints: lockConstraints },
  );
}

type Wishes = { readonly locks: readonly (FitLock & { id: string })[]; readonly now: Date; readonly path: (index: number) => WrongField['path'] };

/** Fits locks that may be fitted, or names each that may not by `path` and field. Their fields are those of {@link FitLock}. */
export async function checkAndFit(tx: TenantTransaction, { locks, now, path }: Wishes): Promise<Outcome<MachineLock[]>> {
  const wishes = locks.map((lock) => ({ ...lock, class: classOf(lock.opens), fittedAt: lock.fittedAt === undefined ? now : new Date(lock.fittedAt) }));
  const fittings = await selectFittings(tx, wishes);
  const seen = new Set<string>();
  const wrong = wishes.flatMap((wish, index) => {
    const fitting = fittings[index];
    if (fitting === undefined) throw new Error('a wish without an answer');
    const place = `${wish.machineId} ${wish.place}`;
    const twice = seen.has(place);
    seen.add(place);
    return wrongWith({ wish, fitting, now, twice }).map((field) => ({ ...field, path: [...path(index), ...field.path] }));
  });
  if (wrong.length > 0) return refusedFields('invalid-command', wrong);
  await insertLocks(tx, { locks: wishes, now });
  return done(await selectLocksById(tx, wishes.map(({ id }) => id)));
}

/** One lock for everything reaches the money, so it counts with the cash boxes. */
export const classOf = (opens: FitLock['opens']): MachineLock['class'] => (opens === 'play-area' ? 'access' : 'cash-box');

type Judged = { wish: Omit<FitLock, 'fittedAt'> & { class: MachineLock['class']; fittedAt: Date }; fitting: Fitting; now: Date; twice: boolean };

function wrongWith({ wish, fitting, now, twice }: Judged): WrongField[] {
  const wrong: WrongField[] = [];
  const report = (field: string, code: string, message: string): number => wrong.push({ path: [field], code, message });
  if (fitting.tag === null) report('machineId', 'unknown', 'There is no machine with this id.');
  else if (!fitting.placed) report('machineId', 'not-placed', `Machine ${fitting.tag} stood at no site on that day. Place it first; its locks go with it when it moves.`);
  if (fitting.code === null) report('keyCodeId', 'unknown', 'There is no key code with this id.');
  else if (fitting.class !== wish.class) report('keyCodeId', 'other-class', classRule({ code: fitting.code, opens: wish.opens }));
  else if (fitting.lost) wrong.push(lostCut);
  if (wish.fittedAt > now) report('fittedAt', 'in-future', 'What has not happened yet is not recorded.');
  if (twice) report('place', 'twice', 'The list has another lock for this place of the machine.');
  if (fitting.other !== null) {
    report('place', 'place-taken', `A lock of code ${fitting.other.code} is in that place since ${fitting.other.from.toISOString()}. Take it off, or change it.`);
  }
  return wrong;
}

/** 25 CFR 542.21(g)(5): the compartment that holds the money is keyed differently from any other. */
export function classRule({ code, opens }: { readonly code: string; readonly opens: FitLock['opens'] }): string {
  return opens === 'play-area'
    ? `Code ${code} is one of cash-box keys: staff of the site would need one to clear a fault. The play area takes an access key.`
    : `Code ${code} is one of access keys, which staff of sites hold: it must not open what reaches the money. Take a code of the class cash-box.`;
}
