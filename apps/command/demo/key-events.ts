import { recordCustody } from '#backoffice/custody/record';
import { makeKeyCopies } from '#backoffice/custody/make-copies';
import { confirmKeyCaseStep } from '#backoffice/key-case/confirm';
import { listKeyCases, readKeyCase } from '#backoffice/key-case/read';
import { createKeyCode } from '#backoffice/key-code/create';
import { addDays, type LocalDate } from '#domain/calendar/local-date';
import { expectDone } from './expect-done';
import { give, handOutKeys, type DemoCopy, type DemoKeys, type KeyBooks } from './keys';
import type { DemoEvent } from './visits';

type Later = { readonly books: KeyBooks; readonly keys: DemoKeys; readonly today: LocalDate };

/**
 * What happened to the keys, so that whoever looks around meets each thing that wants looking after: locks and copies that
 * came into the books some weeks ago and were counted, a key that is not back, one that is lost, one that nobody confirmed.
 */
export function keyEvents(books: KeyBooks, today: LocalDate): readonly DemoEvent[] {
  let keys: DemoKeys | undefined;
  const on = (daysAgo: number, enter: (later: Later) => Promise<void>): DemoEvent => ({
    on: addDays(today, -daysAgo),
    enter: async () => {
      if (keys === undefined) throw new Error('the keys are given out first');
      await enter({ books, keys, today });
    },
  });
  const first = addDays(today, -80);
  return [
    {
      on: first,
      enter: async () => {
        keys = await handOutKeys(books, first);
      },
    },
    on(20, lendKey),
    on(5, loseKey),
    on(2, async (later) => {
      await changeSomeLocks(later);
      await giveUnconfirmed(later);
    }),
  ];
}

async function lendKey({ books, keys, today }: Later): Promise<void> {
  const { operator, ids } = books;
  const borrower = operator.collectors[2];
  if (borrower === undefined) throw new Error(`${operator.name} has nobody to lend a key to`);
  const [copy] = spareOf(keys, 'D1');
  const to = { kind: 'person', id: ids.people.get(borrower.code) ?? '' } as const;
  const dueBackAt = `${addDays(today, -6)}T18:00:00Z`;
  await give(books, { keyCopyIds: [copy.id], from: { kind: 'store', id: keys.safeId }, to, dueBackAt, reason: operator.words.why.lent }, borrower);
}

/** The hook was empty one morning. The report opens the case by itself. */
async function loseKey({ books, keys }: Later): Promise<void> {
  const { deps, custodian, operator } = books;
  const site = operator.sites.findLast((each) => each.hasKey);
  const [copy] = copiesOf(keys, site?.code ?? '');
  expectDone(await recordCustody(deps, custodian, { kind: 'reported-missing', keyCopyIds: [copy.id], reason: operator.words.why.missing }), 'report a key missing');
}

const CHANGED_ALREADY = 6;

async function changeSomeLocks({ books, keys }: Later): Promise<void> {
  const { deps, custodian, operator } = books;
  const [opened] = expectDone(await listKeyCases(deps, custodian, { state: 'open', limit: 1 }), 'find the case').items;
  const caseId = opened?.id ?? '';
  const cut = expectDone(await createKeyCode(deps, custodian, { code: 'DOOR-4', class: 'access', outsideCopies: false }), 'record the new cut');
  const numbers = Array.from({ length: 8 }, (_, index) => `D4-${String(index + 1).padStart(2, '0')}`);
  expectDone(await makeKeyCopies(deps, custodian, { keyCodeId: cut.id, numbers, storeId: keys.safeId, reason: operator.words.why.newCut }), 'make copies of the new cut');
  expectDone(await confirmKeyCaseStep(deps, custodian, { id: caseId, kind: 'new-code', keyCodeId: cut.id, note: operator.words.why.delivered }), 'name the new cut');
  const { locks } = expectDone(await readKeyCase(deps, custodian, { id: caseId }), 'read the case');
  for (const { lockId } of locks.slice(0, CHANGED_ALREADY)) {
    expectDone(await confirmKeyCaseStep(deps, custodian, { id: caseId, kind: 'lock-changed', lockId, note: operator.words.why.changed }), 'change a lock');
  }
}

/** Given at the door, and the receipt was forgotten. */
async function giveUnconfirmed({ books, keys }: Later): Promise<void> {
  const { deps, custodian, operator, ids } = books;
  const [, , receiver] = operator.sites;
  const [, copy] = spareOf(keys, 'D1');
  const to = { kind: 'person', id: ids.people.get(receiver?.manager.code ?? '') ?? '' } as const;
  expectDone(await recordCustody(deps, custodian, { kind: 'issued', keyCopyIds: [copy.id], from: { kind: 'store', id: keys.safeId }, to, reason: operator.words.why.secondKey }), 'issue a key');
}

function copiesOf(keys: DemoKeys, whose: string): readonly [DemoCopy, ...DemoCopy[]] {
  const [first, ...rest] = keys.at.get(whose) ?? [];
  if (first === undefined) throw new Error(`no copy was made for ${whose}`);
  return [first, ...rest];
}

function spareOf(keys: DemoKeys, cut: string): readonly [DemoCopy, DemoCopy] {
  const [first, second] = copiesOf(keys, 'SAFE').filter(({ number }) => number.startsWith(`${cut}-`));
  if (first === undefined || second === undefined) throw new Error(`there are no spare copies of ${cut}`);
  return [first, second];
}
