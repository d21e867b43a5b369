import type { WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { CustodyFact, CustodyKind, Holder } from '#domain/keys/custody';
import type { Caller } from '../caller';
import type { PolicyRules } from '../policy/policy';
import type { CorrectedRow } from './event.sql';
import type { CopyRow } from './timeline.sql';

/** What somebody says happened to copies. */
export type NewCustodyEvent = {
  readonly id?: string | undefined;
  readonly kind: CustodyKind | 'corrected';
  /** For a correction only: what happened instead; `null` for nothing. */
  readonly says?: CustodyKind | null | undefined;
  /** Left out: now; for a correction the time of what it corrects. */
  readonly happenedAt?: Date | undefined;
  /** Left out for a ring, and for a correction that speaks of all copies of its event. */
  readonly keyCopyIds?: readonly string[] | undefined;
  readonly keyRingId?: string | undefined;
  readonly from?: Holder | null | undefined;
  readonly to?: Holder | null | undefined;
  readonly dueBackAt?: Date | null | undefined;
  readonly reason: string;
  readonly correctsId?: string | undefined;
  /** Where the event stands in the request body, for refusals that name a field; the body itself when left out. */
  readonly path?: WrongField['path'] | undefined;
};

/** What recording works with: the transaction of a use case, and who asks. */
export type Recording = {
  readonly tx: TenantTransaction;
  readonly now: Date;
  readonly caller: Caller;
  readonly newId: () => string;
};

/** A copy with everything that was recorded about it, in the order in which it was read. */
export type BookedCopy = { readonly copy: CopyRow; readonly facts: readonly CustodyFact[] };

/** An event whose copies are known and locked. */
export type Subject = { readonly command: NewCustodyEvent; readonly copyIds: readonly string[]; readonly corrected: CorrectedRow | null };

/** What the checks of one event look at. */
export type Checked = Recording & { readonly command: NewCustodyEvent; readonly rules: PolicyRules; readonly copies: readonly BookedCopy[] };
