import type { Type } from '@nestjs/common';
import { AccountController } from './account/account-controller';
import { AdvanceController } from './advances/advance-controller';
import { AgreementController } from './agreements/agreement-controller';
import { ApiTokenController } from './api-tokens/api-token-controller';
import { AuditFileController } from './audit-files/audit-file-controller';
import { AuditTrailController } from './audit-trail/audit-trail-controller';
import { BankDetailController } from './bank-details/bank-detail-controller';
import { BreakInController } from './break-ins/break-in-controller';
import { CashTrailController } from './cash-trail/cash-trail-controller';
import { CashlessController } from './cashless-takings/cashless-controller';
import { CloseController } from './closes/close-controller';
import { CollectionController, UncountedBoxController } from './collections/collection-controller';
import { EvidenceController } from './evidence/evidence-controller';
import { GameController } from './games/game-controller';
import { HealthController } from './health/health-controller';
import { ImportController } from './imports/import-controller';
import { InstallationController } from './installations/installation-controller';
import { JournalController } from './journal/journal-controller';
import { KeyCaseController } from './key-cases/key-case-controller';
import { KeyCodeController } from './key-codes/key-code-controller';
import { KeyTaskController } from './key-tasks/key-task-controller';
import { KeyInventoryController } from './key-inventories/key-inventory-controller';
import { CollectionKeyController } from './key-questions/collection-key-controller';
import { KeyQuestionController } from './key-questions/key-question-controller';
import { KeyReachController } from './key-questions/key-reach-controller';
import { LateChangeController } from './late-changes/late-change-controller';
import { LinkController } from './links/link-controller';
import { MachineController } from './machines/machine-controller';
import { MemberController } from './members/member-controller';
import { MonthEndController } from './month-end/month-end-controller';
import { OpenItemController } from './open-items/open-item-controller';
import { OperatorController } from './operator/operator-controller';
import { PartyController } from './parties/party-controller';
import { PaymentRunController } from './payment-runs/payment-run-controller';
import { PaymentController } from './payments/payment-controller';
import { PersonController } from './people/person-controller';
import { PlacementController } from './placements/placement-controller';
import { SearchController } from './search/search-controller';
import { SettlementController } from './settlements/settlement-controller';
import { CustodyAcknowledgementController } from './custody/custody-acknowledgement-controller';
import { CustodyLinkController } from './custody/custody-link-controller';
import { CustodyEventController } from './custody/custody-event-controller';
import { KeyExceptionController } from './key-exceptions/key-exception-controller';
import { KeyPlaceController } from './key-places/key-place-controller';
import { KeyRingController } from './key-rings/key-ring-controller';
import { KeySiteController } from './key-sites/key-site-controller';
import { KeyStoreController } from './key-stores/key-store-controller';
import { MachineLockController } from './machine-locks/machine-lock-controller';
import { KeyCopyController } from './key-copies/key-copy-controller';
import { EarningsController } from './earnings/earnings-controller';
import { FieldCountController } from './field-counts/field-count-controller';
import { MachineReportController } from './machine-reports/machine-report-controller';
import { RefundClaimController } from './refund-claims/refund-claim-controller';
import { RoundController } from './rounds/round-controller';
import { VisitController } from './visits/visit-controller';
import { PolicyController } from './policy/policy-controller';
import { RetentionController } from './retention/retention-controller';
import { MeterController } from './meters/meter-controller';
import { OutageController } from './outages/outage-controller';
import { VarianceController } from './variances/variance-controller';
import { ScaleCheckController } from './scale-checks/scale-check-controller';
import { SignInController } from './sign-in/sign-in-controller';
import { SiteViewController } from './site-view/site-view-controller';
import { SigningCertificateController } from './signing-certificates/signing-certificate-controller';
import { StatementController } from './statements/statement-controller';
import { SiteAccountController } from './sites/site-account-controller';
import { SiteController } from './sites/site-controller';
import { LawLimitController } from './tax-areas/law-limit-controller';
import { ReadyTaxAreaController } from './tax-areas/ready-tax-area-controller';
import { TaxPaymentController } from './tax-areas/tax-payment-controller';
import { TaxReturnController } from './tax-areas/tax-return-controller';
import { TaxAreaController } from './tax-areas/tax-area-controller';
import { WhatIfController } from './what-if/what-if-controller';
import { WebhookController } from './webhooks/webhook-controller';
import { YearEndController } from './year-end/year-end-controller';

/** Every resource of the API. A new one is added here; its routes, documents and access tests follow from it. */
export const controllers: readonly Type<object>[] = [
  HealthController,
  SignInController,
  AccountController,
  LinkController,
  OperatorController,
  MemberController,
  ApiTokenController,
  AuditFileController,
  AuditTrailController,
  SiteController,
  PartyController,
  PersonController,
  MachineController,
  GameController,
  PlacementController,
  InstallationController,
  KeyCodeController,
  MachineLockController,
  KeySiteController,
  KeyStoreController,
  KeyPlaceController,
  KeyRingController,
  KeyExceptionController,
  KeyCopyController,
  CustodyEventController,
  CustodyAcknowledgementController,
  CustodyLinkController,
  KeyCaseController,
  KeyInventoryController,
  KeyTaskController,
  PolicyController,
  RetentionController,
  KeyReachController,
  KeyQuestionController,
  CollectionKeyController,
  TaxAreaController,
  LawLimitController,
  ReadyTaxAreaController,
  TaxReturnController,
  TaxPaymentController,
  AgreementController,
  CollectionController,
  UncountedBoxController,
  FieldCountController,
  EarningsController,
  ScaleCheckController,
  MeterController,
  OutageController,
  VarianceController,
  MachineReportController,
  RefundClaimController,
  RoundController,
  VisitController,
  CashTrailController,
  CashlessController,
  BankDetailController,
  BreakInController,
  ImportController,
  CloseController,
  SearchController,
  SettlementController,
  MonthEndController,
  WhatIfController,
  LateChangeController,
  OpenItemController,
  PaymentRunController,
  PaymentController,
  AdvanceController,
  SiteAccountController,
  JournalController,
  EvidenceController,
  SiteViewController,
  SigningCertificateController,
  YearEndController,
  WebhookController,
  StatementController,
];
