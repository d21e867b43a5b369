import type { Account } from '../generated';
import type { Money } from '../format/money';

export interface Page<Item> {
  items: Item[];
  next: string | null;
}

export type { Account } from '../generated';
export type Membership = Account['operators'][number];

export type Cycle = 'month' | 'four-weeks' | 'week';

export interface PeriodRow {
  cycle: Cycle;
  startsOn: string;
  endsBefore: string;
  closeId: string | null;
  state: string;
}

export interface MonthEnd {
  cycle: Cycle;
  startsOn: string;
  endsBefore: string;
  closeId: string | null;
  counts: {
    agreements: number;
    withoutCollections: number;
    openCollections: number;
    drafts: number;
    reviewed: number;
    numbered: number;
    issued: number;
    failed: number;
    lateChanges: number;
  };
}

export type AgreementState =
  | 'no-collections'
  | 'open-collections'
  | 'ready'
  | 'draft'
  | 'reviewed'
  | 'numbered'
  | 'issued'
  | 'failed';

export interface AgreementRow {
  agreementId: string;
  siteId: string;
  siteCode: string;
  siteName: string;
  settlementId: string | null;
  state: AgreementState;
  takings: Money | null;
  siteShare: Money | null;
  payable: Money | null;
  previousPayable: Money | null;
  failure: { code: string; message: string } | null;
}

export interface Close {
  id: string;
  cycle: Cycle;
  startsOn: string;
  endsBefore: string;
  requestedBy: string;
  requestedAt: string;
  progress: {
    agreements: number;
    settled: number;
    reviewed: number;
    numbered: number;
    issued: number;
    failed: number;
    running: boolean;
  };
  failures: { agreementId: string; siteCode: string; code: string; message: string }[];
}

export type SettlementState = 'draft' | 'reviewed' | 'numbered' | 'issued';

export interface SettlementRow {
  id: string;
  siteId: string;
  siteCode: string;
  siteName: string;
  startsOn: string;
  endsBefore: string;
  state: SettlementState;
  number: string | null;
  siteShare: Money;
  payable: Money;
}

export interface SettlementLine {
  lineNumber: number;
  periodStartsOn: string;
  step: string;
  kind: string;
  label: string;
  machineTag: string | null;
  party: string | null;
  amount: Money;
  why: Why | null;
}

export interface Why {
  text: string;
  step: string;
  rule: string | null;
  exact: string | null;
  inputs: { label: string; value: string | null }[];
}

export interface Settlement {
  id: string;
  agreementId: string;
  siteId: string;
  siteCode: string;
  siteName: string;
  startsOn: string;
  endsBefore: string;
  revision: number;
  state: SettlementState;
  number: string | null;
  currency: string;
  totals: {
    takings: Money;
    refunds: Money;
    tax: Money;
    charges: Money;
    operatorShare: Money;
    siteShare: Money;
    earlier: Money;
    payable: Money;
  };
  lines: SettlementLine[];
  sentences: string[];
  history: { kind: string; note: string | null; happenedAt: string; happenedBy: string }[];
  engineVersion: number;
  digest: string | null;
  statement: { available: boolean; digest: string | null };
}

export interface LateChange {
  id: string;
  siteCode: string;
  siteName: string;
  startsOn: string;
  endsBefore: string;
  cause: string;
  recordedAt: string;
}

export type { ImportError, ImportFile, Machine, Site } from '../generated';


export type { Agreement, AgreementVersion } from '../generated';

export interface CollectionRow {
  id: string;
  siteId: string;
  localDate: string;
  accountingDate: string;
  state: 'open' | 'counted' | 'accepted';
  total: Money | null;
}

export interface SiteView {
  sites: {
    siteId: string;
    siteCode: string;
    siteName: string;
    soFar: { startsOn: string; endsBefore: string; takings: Money; siteShare: Money | null; collectedUntil: string | null } | null;
    settlements: {
      id: string;
      startsOn: string;
      endsBefore: string;
      number: string | null;
      siteShare: Money;
      payable: Money;
      statementAvailable: boolean;
    }[];
  }[];
}
