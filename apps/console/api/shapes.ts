import type { Account } from '../generated';

export type { Account };

/** The shapes that screens talk about, under the names that they use. */
export type { Close } from '#contracts/close';
export type { AgreementState, MonthEnd, MonthEndAgreement as AgreementRow, PeriodRow } from '#contracts/month-end';
export type { Cycle } from '#contracts/close';
export type { LateChange, Settlement, SettlementLine, SettlementRow } from '#contracts/settlement';
export type { SiteView } from '#contracts/site-view';
export type { Agreement, CollectionSummary, ImportError, ImportFile, Machine, Site } from '../generated';

export type Membership = Account['operators'][number];
