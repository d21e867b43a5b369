/** What a statement is made of beside the settlement, and what the parts of the mapping share. */
import type { LocalDate } from '#domain/calendar/local-date';
import type { CanonicalValue } from '#domain/evidence/canonical-json';
import type { PeriodResult, SettlementInputs, SettlementResult } from '#domain/settlement/types';
import type { PartyId, Terms } from '#domain/terms/types';
import type { RecentPeriod, StatementDocument, StatementParty } from '#statement/document';
import type { StatementLanguage } from '#statement/words/words';

/** What is printed beside the figures. */
export interface StatementFacts {
  readonly operator: StatementParty;
  readonly site: StatementParty & { readonly code: string };
  readonly payee: StatementParty & { readonly partyId: PartyId };
  /** Names of all parties of the agreement, the payee and the operator included. */
  readonly partyNames: ReadonlyMap<PartyId, string>;
  /** Game in each machine at the end of the period, by machine id. */
  readonly games: ReadonlyMap<string, string>;
  readonly statementNumber: string;
  readonly issuedOn: LocalDate;
  readonly issuedAt: string;
  readonly locale: string;
  readonly paper: StatementDocument['paper'];
  /** For each earlier period that is settled again, by period id: the statement that first settled it, and what has changed. */
  readonly earlierStatements: ReadonlyMap<string, { readonly statementNumber: string; readonly reason: string }>;
  /** The statement that carried an item, by item id. */
  readonly carriedFrom: ReadonlyMap<string, string>;
  readonly payment?: string;
  /** At most eleven periods before this one, the oldest first. */
  readonly recent?: readonly RecentPeriod[];
  readonly verificationAddress?: string;
  /** Both in lower-case letters; the salt in hex. */
  readonly standing?: { readonly operatorId: string; readonly salt: string };
  /** Machines, by id, that were counted at least once without a reading of any of their meters. */
  readonly notRead?: ReadonlySet<string>;
  /** Of each meter that was read at a count of the period, in the order in which they are listed: the last reading, and the one before the first. */
  readonly readings?: readonly MeterReadings[];
  /** Of a statement of before: the setting of its page, and its cautions where they do not follow from the settlement. */
  readonly earlierSetting?: { readonly version: number; readonly cautions?: readonly string[] };
  readonly evidence: StatementDocument['evidence'];
  /** The canonical settlement document; without it nothing is attached. */
  readonly settlement?: CanonicalValue;
  /** The signature carries a time stamp: a file without one had it taken out. */
  readonly isStamped?: true;
  /** Of a stamped statement that is set again: the format that its attachment says. */
  readonly stampedFormat?: number;
  /** The head on the statement before, and the proof that this one extends it. */
  readonly earlierHead?: EarlierHead;
}

export interface MeterReadings {
  readonly machineId: string;
  /** As it is labelled on the counter board. */
  readonly meter: string;
  readonly beforeValue?: bigint;
  readonly lastValue: bigint;
  readonly readOn: LocalDate;
}

export interface EarlierHead {
  readonly statementNumber: string;
  readonly size: number;
  /** Lower-case hex, as is the proof. */
  readonly root: string;
  readonly proof: readonly string[];
}

/** What the parts of the mapping share. */
export interface Mapping {
  readonly inputs: SettlementInputs;
  readonly result: SettlementResult;
  readonly current: PeriodResult;
  readonly facts: StatementFacts;
  readonly language: StatementLanguage;
  readonly amount: (amountMinor: bigint) => string;
  readonly date: (date: LocalDate) => string;
  readonly partyName: (party: PartyId) => string;
  /** Terms of each group of counts, by its number. */
  readonly termsByGroup: ReadonlyMap<number, { readonly terms: Terms; readonly startsOn: LocalDate }>;
}
