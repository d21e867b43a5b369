import type { ComponentType } from 'react';
import { createBrowserRouter, Outlet } from 'react-router';
import { Broken, ScreenMissing } from './frame/broken';
import { Frame } from './frame/frame';
import { ChooseOperator, Start } from './frame/home';
import { NotFound } from './frame/not-found';
import { MonthEndPage, MonthEndStart } from './month-end/month-end-page';
import { Waiting } from './parts/answer';
import { SignInPage } from './session/sign-in-page';
import { SignedIn } from './session/signed-in';
import { fetchPageWords, words } from './words/words';

/** A screen whose code comes when somebody goes there, after the words that it says. */
function later(load: () => Promise<ComponentType>) {
  return async () => {
    const Component = await fetchPageWords().then(load).catch(() => {
      throw new ScreenMissing();
    });
    return { Component };
  };
}

const newAgreement = later(async () => (await import('./agreements/new-agreement-page')).NewAgreementPage);
const otherTerms = later(async () => (await import('./agreements/other-terms-page')).OtherTermsPage);
const games = later(async () => (await import('./machines/games-page')).GamesPage);
const machine = later(async () => (await import('./machines/machine-page')).MachinePage);
const machines = later(async () => (await import('./machines/machines-page')).MachinesPage);
const parties = later(async () => (await import('./parties/parties-page')).PartiesPage);
const party = later(async () => (await import('./parties/party-page')).PartyPage);
const office = later(async () => (await import('./set-up/operator-page')).OperatorPage);
const persons = later(async () => (await import('./set-up/people-page')).PersonsPage);
const setUp = later(async () => (await import('./set-up/overview-page')).SetUpPage);
const taxArea = later(async () => (await import('./set-up/tax-area-page')).TaxAreaPage);
const taxAreas = later(async () => (await import('./set-up/tax-areas-page')).TaxAreasPage);
const tolerances = later(async () => (await import('./set-up/tolerances-page')).TolerancesPage);
const account = later(async () => (await import('./session/account-page')).AccountPage);
const audit = later(async () => (await import('./audit/audit-page')).AuditPage);
const breakIns = later(async () => (await import('./collections/break-ins-page')).BreakInsPage);
const cardTakings = later(async () => (await import('./collections/card-takings-page')).CardTakingsPage);
const collection = later(async () => (await import('./collections/collection-page')).CollectionPage);
const countRoom = later(async () => (await import('./collections/count-page')).CountPage);
const paperVisit = later(async () => (await import('./collections/paper-page')).PaperVisitPage);
const collections = later(async () => (await import('./collections/collections-page')).CollectionsPage);
const imports = later(async () => (await import('./imports/imports-page')).ImportsPage);
const oneImport = later(async () => (await import('./imports/import-page')).ImportPage);
const journal = later(async () => (await import('./journal/journal-page')).JournalPage);
const earnings = later(async () => (await import('./earnings/earnings-page')).EarningsPage);
const machineReports = later(async () => (await import('./machine-reports/machine-reports-page')).MachineReportsPage);
const keyCode = later(async () => (await import('./keys/set-up/code-page')).KeyCodePage);
const keyCodes = later(async () => (await import('./keys/set-up/codes-page')).KeyCodesPage);
const keyExceptions = later(async () => (await import('./keys/set-up/exceptions-page')).KeyExceptionsPage);
const keyRings = later(async () => (await import('./keys/set-up/rings-page')).KeyRingsPage);
const keySetUp = later(async () => (await import('./keys/set-up/overview-page')).KeySetUpPage);
const keySite = later(async () => (await import('./keys/set-up/site-page')).KeySitePage);
const keySites = later(async () => (await import('./keys/set-up/sites-page')).KeySitesPage);
const keyStores = later(async () => (await import('./keys/set-up/stores-page')).KeyStoresPage);
const keyAttention = later(async () => (await import('./keys/attention-page')).KeyAttentionPage);
const keyCopy = later(async () => (await import('./keys/copy-page')).KeyCopyPage);
const keyOpeners = later(async () => (await import('./keys/openers-page')).KeyOpenersPage);
const retention = later(async () => (await import('./retention/retention-page')).RetentionPage);
const keyPolicy = later(async () => (await import('./keys/policy-page')).KeyPolicyPage);
const evidence = later(async () => (await import('./evidence/evidence-page')).EvidencePage);
const erasePerson = later(async () => (await import('./keys/erase-person-page')).ErasePersonPage);
const keyPerson = later(async () => (await import('./keys/person-page')).KeyPersonPage);
const keys = later(async () => (await import('./keys/keys-page')).KeysPage);
const ownKeys = later(async () => (await import('./keys/own/own-keys-page')).OwnKeysPage);
const keyCase = later(async () => (await import('./keys/cases/case-page')).KeyCasePage);
const keyCases = later(async () => (await import('./keys/cases/cases-page')).KeyCasesPage);
const keyInventories = later(async () => (await import('./keys/inventories/inventories-page')).KeyInventoriesPage);
const keyInventory = later(async () => (await import('./keys/inventories/inventory-page')).KeyInventoryPage);
const keyReceipt = later(async () => (await import('./keys/receipt-page')).ReceiptPage);
const link = later(async () => (await import('./session/link-page')).LinkPage);
const ageing = later(async () => (await import('./money-out/ageing-page')).AgeingPage);
const bankAccounts = later(async () => (await import('./money-out/bank-accounts-page')).BankAccountsPage);
const paymentRun = later(async () => (await import('./money-out/payment-run-page')).PaymentRunPage);
const paymentRuns = later(async () => (await import('./money-out/payment-runs-page')).PaymentRunsPage);
const yearEnd = later(async () => (await import('./money-out/year-end-page')).YearEndPage);
const refundClaims = later(async () => (await import('./refund-claims/refund-claims-page')).RefundClaimsPage);
const people = later(async () => (await import('./access/people-page')).PeoplePage);
const roundSheet = later(async () => (await import('./rounds/sheet-page')).RoundSheetPage);
const rounds = later(async () => (await import('./rounds/rounds-page')).RoundsPage);
const keptVisits = later(async () => (await import('./rounds/kept-visits-page')).KeptVisitsPage);
const share = later(async () => (await import('./share/share-page')).SharePage);
const search = later(async () => (await import('./search/search-page')).SearchPage);
const sites = later(async () => (await import('./sites/sites-page')).SitesPage);
const siteAccount = later(async () => (await import('./site-account/site-account-page')).SiteAccountPage);
const settlement = later(async () => (await import('./settlement/settlement-page')).SettlementPage);
const tax = later(async () => (await import('./tax/tax-page')).TaxPage);
const taxReturn = later(async () => (await import('./tax/return-page')).TaxReturnPage);
const today = later(async () => (await import('./phone/pages')).TodayPage);
const visit = later(async () => (await import('./phone/pages')).VisitPage);
const standing = later(async () => (await import('./standing/standing-page')).StandingPage);
const signature = later(async () => (await import('./access/signature-page')).SignaturePage);
const tokens = later(async () => (await import('./access/tokens-page')).TokensPage);
const cash = later(async () => (await import('./cash/cash-page')).CashPage);
const cashGaps = later(async () => (await import('./cash/gaps-page')).CashGapsPage);
const attribution = later(async () => (await import('./variances/attribution-page')).AttributionPage);
const machineVariances = later(async () => (await import('./variances/machine-page')).MachineVariancesPage);
const varianceFlag = later(async () => (await import('./variances/flag-page')).FlagPage);
const varianceFlags = later(async () => (await import('./variances/flags-page')).FlagsPage);
const variances = later(async () => (await import('./variances/report-page')).VarianceReportPage);
const oneWebhook = later(async () => (await import('./webhooks/webhook-page')).WebhookPage);
const webhooks = later(async () => (await import('./webhooks/webhooks-page')).WebhooksPage);
const whatIf = later(async () => (await import('./what-if/what-if-page')).WhatIfPage);
const oneSite = later(async () => (await import('./sites/site-page')).SitePage);

/** Stands until the script of the first screen has come. */
function Arriving() {
  return (
    <main id="main">
      <h1 className="visually-hidden">{words.loading}</h1>
      <Waiting />
    </main>
  );
}

/** Every screen has an address that can be sent to a colleague; the operator is part of it. */
export const router = createBrowserRouter([
  {
    element: <Outlet />,
    errorElement: <Broken />,
    hydrateFallbackElement: <Arriving />,
    children: [
      { path: '/sign-in', element: <SignInPage /> },
      { path: '/link', lazy: link },
      { path: '/key-receipt', lazy: keyReceipt },
      { path: '/statement-standing', lazy: standing },
      {
        element: <SignedIn />,
        children: [
          { path: '/', element: <ChooseOperator /> },
          {
            path: '/operators/:operatorCode',
            element: <Frame />,
            children: [
              { index: true, element: <Start /> },
              { path: 'month-end', element: <MonthEndStart /> },
              { path: 'month-end/:cycle/:startsOn', element: <MonthEndPage /> },
              { path: 'settlements/:settlementId', lazy: settlement },
              { path: 'account', lazy: account },
              { path: 'agreements/new', lazy: newAgreement },
              { path: 'agreements/:agreementId/terms', lazy: otherTerms },
              { path: 'audit', lazy: audit },
              { path: 'collections', lazy: collections },
              { path: 'collections/break-ins', lazy: breakIns },
              { path: 'collections/cards', lazy: cardTakings },
              { path: 'collections/cash', lazy: cash },
              { path: 'collections/cash/gaps', lazy: cashGaps },
              { path: 'collections/enter', lazy: paperVisit },
              { path: 'collections/refunds', lazy: refundClaims },
              { path: 'collections/:collectionId', lazy: collection },
              { path: 'collections/:collectionId/count', lazy: countRoom },
              { path: 'collections/imports', lazy: imports },
              { path: 'collections/imports/:importId', lazy: oneImport },
              { path: 'earnings', lazy: earnings },
              { path: 'evidence', lazy: evidence },
              { path: 'games', lazy: games },
              { path: 'journal', lazy: journal },
              { path: 'keys', lazy: keys },
              { path: 'keys/attention', lazy: keyAttention },
              { path: 'keys/cases', lazy: keyCases },
              { path: 'keys/cases/:caseId', lazy: keyCase },
              { path: 'keys/codes', lazy: keyCodes },
              { path: 'keys/codes/:codeId', lazy: keyCode },
              { path: 'keys/copies/:copyId', lazy: keyCopy },
              { path: 'keys/exceptions', lazy: keyExceptions },
              { path: 'keys/inventories', lazy: keyInventories },
              { path: 'keys/inventories/:inventoryId', lazy: keyInventory },
              { path: 'keys/openers', lazy: keyOpeners },
              { path: 'keys/own', lazy: ownKeys },
              { path: 'keys/people/:personId', lazy: keyPerson },
              { path: 'keys/people/:personId/erasure', lazy: erasePerson },
              { path: 'keys/policy', lazy: keyPolicy },
              { path: 'keys/rings', lazy: keyRings },
              { path: 'keys/set-up', lazy: keySetUp },
              { path: 'keys/sites', lazy: keySites },
              { path: 'keys/sites/:siteId', lazy: keySite },
              { path: 'keys/stores', lazy: keyStores },
              { path: 'machines', lazy: machines },
              { path: 'machines/reports', lazy: machineReports },
              { path: 'machines/:machineId', lazy: machine },
              { path: 'parties', lazy: parties },
              { path: 'parties/:partyId', lazy: party },
              { path: 'payment-runs', lazy: paymentRuns },
              { path: 'payment-runs/accounts', lazy: bankAccounts },
              { path: 'payment-runs/ageing', lazy: ageing },
              { path: 'payment-runs/year-end', lazy: yearEnd },
              { path: 'payment-runs/:runId', lazy: paymentRun },
              { path: 'people', lazy: people },
              { path: 'persons', lazy: persons },
              { path: 'retention', lazy: retention },
              { path: 'rounds', lazy: rounds },
              { path: 'rounds/visits', lazy: keptVisits },
              { path: 'rounds/:roundId', lazy: roundSheet },
              { path: 'search', lazy: search },
              { path: 'set-up', lazy: setUp },
              { path: 'set-up/office', lazy: office },
              { path: 'set-up/tax-areas', lazy: taxAreas },
              { path: 'set-up/tax-areas/:areaId', lazy: taxArea },
              { path: 'set-up/tolerances', lazy: tolerances },
              { path: 'signature', lazy: signature },
              { path: 'sites', lazy: sites },
              { path: 'sites/:siteId', lazy: oneSite },
              { path: 'sites/:siteId/account', lazy: siteAccount },
              { path: 'tax', lazy: tax },
              { path: 'tax/:areaId/returns/:returnId', lazy: taxReturn },
              { path: 'today', lazy: today },
              { path: 'today/:roundId/:siteId', lazy: visit },
              { path: 'tokens', lazy: tokens },
              { path: 'webhooks', lazy: webhooks },
              { path: 'webhooks/:webhookId', lazy: oneWebhook },
              { path: 'variances', lazy: variances },
              { path: 'variances/attribution', lazy: attribution },
              { path: 'variances/flags', lazy: varianceFlags },
              { path: 'variances/flags/:flagId', lazy: varianceFlag },
              { path: 'variances/machines/:machineId', lazy: machineVariances },
              { path: 'what-if', lazy: whatIf },
              { path: 'share', lazy: share },
              { path: 'share/:siteId', lazy: share },
              { path: '*', element: <NotFound /> },
            ],
          },
        ],
      },
      { path: '*', element: <NotFound /> },
    ],
  },
]);
