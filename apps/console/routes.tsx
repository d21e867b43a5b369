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
import { SettlementPage } from './settlement/settlement-page';

/** A screen whose code comes when somebody goes there. */
function later(load: () => Promise<ComponentType>) {
  return async () => {
    const Component = await load().catch(() => {
      throw new ScreenMissing();
    });
    return { Component };
  };
}

const account = later(async () => (await import('./session/account-page')).AccountPage);
const collection = later(async () => (await import('./collections/collection-page')).CollectionPage);
const collections = later(async () => (await import('./collections/collections-page')).CollectionsPage);
const imports = later(async () => (await import('./imports/imports-page')).ImportsPage);
const oneImport = later(async () => (await import('./imports/import-page')).ImportPage);
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
const keyPolicy = later(async () => (await import('./keys/policy-page')).KeyPolicyPage);
const keyPerson = later(async () => (await import('./keys/person-page')).KeyPersonPage);
const keys = later(async () => (await import('./keys/keys-page')).KeysPage);
const ownKeys = later(async () => (await import('./keys/own/own-keys-page')).OwnKeysPage);
const keyCase = later(async () => (await import('./keys/cases/case-page')).KeyCasePage);
const keyCases = later(async () => (await import('./keys/cases/cases-page')).KeyCasesPage);
const keyInventories = later(async () => (await import('./keys/inventories/inventories-page')).KeyInventoriesPage);
const keyInventory = later(async () => (await import('./keys/inventories/inventory-page')).KeyInventoryPage);
const keyReceipt = later(async () => (await import('./keys/receipt-page')).ReceiptPage);
const link = later(async () => (await import('./session/link-page')).LinkPage);
const people = later(async () => (await import('./access/people-page')).PeoplePage);
const share = later(async () => (await import('./share/share-page')).SharePage);
const sites = later(async () => (await import('./sites/sites-page')).SitesPage);
const siteAccount = later(async () => (await import('./site-account/site-account-page')).SiteAccountPage);
const tax = later(async () => (await import('./tax/tax-page')).TaxPage);
const tokens = later(async () => (await import('./access/tokens-page')).TokensPage);
const oneSite = later(async () => (await import('./sites/site-page')).SitePage);

/** Every screen has an address that can be sent to a colleague; the operator is part of it. */
export const router = createBrowserRouter([
  {
    element: <Outlet />,
    errorElement: <Broken />,
    hydrateFallbackElement: <Waiting />,
    children: [
      { path: '/sign-in', element: <SignInPage /> },
      { path: '/link', lazy: link },
      { path: '/key-receipt', lazy: keyReceipt },
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
              { path: 'settlements/:settlementId', element: <SettlementPage /> },
              { path: 'account', lazy: account },
              { path: 'collections', lazy: collections },
              { path: 'collections/:collectionId', lazy: collection },
              { path: 'collections/imports', lazy: imports },
              { path: 'collections/imports/:importId', lazy: oneImport },
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
              { path: 'keys/policy', lazy: keyPolicy },
              { path: 'keys/rings', lazy: keyRings },
              { path: 'keys/set-up', lazy: keySetUp },
              { path: 'keys/sites', lazy: keySites },
              { path: 'keys/sites/:siteId', lazy: keySite },
              { path: 'keys/stores', lazy: keyStores },
              { path: 'people', lazy: people },
              { path: 'sites', lazy: sites },
              { path: 'sites/:siteId', lazy: oneSite },
              { path: 'sites/:siteId/account', lazy: siteAccount },
              { path: 'tax', lazy: tax },
              { path: 'tokens', lazy: tokens },
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
