import { createBrowserRouter, Outlet } from 'react-router';
import { Broken } from './frame/broken';
import { Frame } from './frame/frame';
import { ChooseOperator, Start } from './frame/home';
import { NotFound } from './frame/not-found';
import { ImportPage } from './imports/import-page';
import { ImportsPage } from './imports/imports-page';
import { MonthEndPage, MonthEndStart } from './month-end/month-end-page';
import { SignInPage } from './session/sign-in-page';
import { SignedIn } from './session/signed-in';
import { SettlementPage } from './settlement/settlement-page';
import { SharePage } from './share/share-page';
import { SitePage } from './sites/site-page';
import { SitesPage } from './sites/sites-page';

/** Every screen has an address that can be sent to a colleague; the operator is part of it. */
export const router = createBrowserRouter([
  {
    element: <Outlet />,
    errorElement: <Broken />,
    children: [
      { path: '/sign-in', element: <SignInPage /> },
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
              { path: 'imports', element: <ImportsPage /> },
              { path: 'imports/:importId', element: <ImportPage /> },
              { path: 'sites', element: <SitesPage /> },
              { path: 'sites/:siteId', element: <SitePage /> },
              { path: 'share', element: <SharePage /> },
              { path: 'share/:siteId', element: <SharePage /> },
              { path: '*', element: <NotFound /> },
            ],
          },
        ],
      },
      { path: '*', element: <NotFound /> },
    ],
  },
]);
