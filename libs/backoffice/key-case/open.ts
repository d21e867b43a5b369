import type { KeyCase, OpenKeyCase } from '#contracts/key-case';
import { done, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import { surelyHeldUntil } from '#domain/keys/case-plan';
import type { CustodyFact } from '#domain/keys/custody';
import type { Caller } from '../caller';
import type { EventRecord } from '../custody/event.sql';
import type { BookedCopy, Recording } from '../custody/new-event';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { taken } from '../refusal';
import { insertCase, insertLostCopies, lockCut, selectOpenCase, type LostCopy } from './open.sql';
import { readCase } from './read';

/** Opens a case by hand: others may have keys of a cut though no copy is missing. */
export async function openKeyCase(deps: Backoffice, caller: Caller, command: OpenKeyCase): Promise<Outcome<KeyCase>> {
  return perform(
    deps,
    caller,
    'key-case.open',
    async ({ tx, now }) => {
      const happenedAt = command.happenedAt === undefined ? now : new Date(command.happenedAt);
      const sure = new Date(command.surelyHeldUntil);
      const wrong: WrongField[] = [];
      if ((await lockCut(tx, command.keyCodeId)) === null) wrong.push({ path: ['keyCodeId'], code: 'unknown', message: 'There is no key code with this id.' });
      else if ((await selectOpenCase(tx, command.keyCodeId)) !== null) wrong.push({ path: ['keyCodeId'], code: 'case-open', message: 'A case of this key code is open already: go on with that one.' });
      if (happenedAt > now) wrong.push({ path: ['happenedAt'], code: 'in-the-future', message: 'That time has not come yet.' });
      if (sure > happenedAt) wrong.push({ path: ['surelyHeldUntil'], code: 'after-happened', message: 'The keys were safe until before it became known that they are not.' });
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const id = command.id ?? deps.newId();
      await insertCase(tx, { id, keyCodeId: command.keyCodeId, cause: 'compromised', happenedAt, surelyHeldUntil: sure, openedAt: now, reason: command.reason });
      return done(await readCase(tx, { id, now, caller }));
    },
    { constraints: { key_case_pkey: taken(['id'], 'a case with this id'), key_case_one_open: { code: 'changed-meanwhile' } } },
  );
}

/**
 * A missing key opens a case of its cut at once, or joins the one that is open. Part of recording the report; the copies
 * are locked. `copies` come with everything that was recorded before the report.
 */
export async function openCasesOfMissing(recording: Recording, missing: { readonly event: EventRecord; readonly report: CustodyFact; readonly copies: readonly BookedCopy[] }): Promise<void> {
  const { tx, newId } = recording;
  const { event, report, copies } = missing;
  for (const keyCodeId of [...new Set(copies.map(({ copy }) => copy.key_code_id))].sort()) {
    const lost = copies.filter(({ copy }) => copy.key_code_id === keyCodeId).map(({ copy, facts }): LostCopy => {
      const sure = surelyHeldUntil([...facts, report], { eventId: event.id, happenedAt: event.happenedAt.getTime() });
      return { keyCopyId: copy.id, eventId: event.id, surelyHeldUntil: sure === null ? event.happenedAt : new Date(sure) };
    });
    await lockCut(tx, keyCodeId);
    const open = await selectOpenCase(tx, keyCodeId);
    const id = open?.id ?? newId();
    if (open === null) {
      const earliest = lost.reduce((least, { surelyHeldUntil: each }) => (each < least ? each : least), event.happenedAt);
      await insertCase(tx, { id, keyCodeId, cause: 'lost', happenedAt: event.happenedAt, surelyHeldUntil: earliest, openedAt: event.recordedAt, reason: event.reason });
    }
    await insertLostCopies(tx, { keyCaseId: id, keyCodeId, copies: lost, recordedAt: event.recordedAt });
  }
}
