import type { Account, MonthEndAgreement, PeriodRow } from '../generated';

/** The shapes that screens talk about, under the names that they use. */
export type {
  Account,
  AccountLine,
  Advance,
  Agreement,
  Close,
  CollectionKeyCheck,
  CollectionSummary,
  CopyHistory,
  CopyReach,
  ImportError,
  ImportFile,
  KeyAttention,
  KeyHolder,
  KeyHolding,
  KeyPerson,
  KeyReach,
  JournalPeriods,
  LateChange,
  Machine,
  MonthEnd,
  MonthEndAgreement as AgreementRow,
  Openers,
  PartyAccount,
  PeriodRow,
  PersonKeys,
  Settlement,
  SettlementLine,
  SettlementRow,
  Site,
  SiteAccount,
  SiteView,
  TaxArea,
  TaxWorksheet,
} from '../generated';
export type Cycle = PeriodRow['cycle'];
export type Membership = Account['operators'][number];
export type AgreementState = MonthEndAgreement['state'];
