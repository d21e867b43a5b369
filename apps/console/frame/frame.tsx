import { Navigate, NavLink, Outlet, ScrollRestoration, useLocation, useParams } from 'react-router';
import { Page } from '../parts/page';
import { operatorPath, OperatorProvider, useOperator } from '../session/operator';
import { useAccount } from '../session/account';
import { SecondFactor } from '../session/second-factor';
import { SearchLink } from '../search/search-link';
import { words } from '../words/words';
import { AccountMenu } from './account-menu';
import { NotFound } from './not-found';
import styles from './frame.module.css';

/** What surrounds the screens of one operator. */
export function Frame() {
  const { operatorCode } = useParams();
  const { pathname, search, hash } = useLocation();
  const account = useAccount();
  // Statement numbers show the code in capitals, so people type it either way.
  const membership = account.operators.find((each) => each.code.toLowerCase() === operatorCode?.toLowerCase());
  if (membership === undefined) return <NotFound />;
  if (membership.code !== operatorCode) {
    const rest = pathname.split('/').slice(3);
    return <Navigate to={`${[operatorPath(membership.code), ...rest].join('/')}${search}${hash}`} replace />;
  }
  return (
    <OperatorProvider key={membership.id} membership={membership} account={account}>
      <a className={styles.skip} href="#main">
        {words.frame.skip}
      </a>
      <header className={styles.bar}>
        <div className={styles.inner}>
          <span className={styles.name}>{membership.name}</span>
          <MainNavigation />
          <SearchPlace />
          <AccountMenu />
        </div>
      </header>
      {membership.secondFactorRequired && account.secondFactor !== 'given' ? <SecondFactorNeeded /> : <Outlet />}
      <ScrollRestoration />
    </OperatorProvider>
  );
}

function SecondFactorNeeded() {
  return (
    <Page title={words.account.needed} lead={words.account.neededLead}>
      <SecondFactor />
    </Page>
  );
}

function SearchPlace() {
  return useOperator().may('search.read') ? <SearchLink /> : null;
}

function MainNavigation() {
  const { may, to, membership } = useOperator();
  const isSiteManager = membership.role === 'site-manager';
  const places = [
    { path: 'today', text: words.frame.today, shown: membership.role === 'collector' },
    { path: 'share', text: words.frame.share, shown: isSiteManager },
    { path: 'month-end', text: words.frame.monthEnd, shown: may('close.read') },
    { path: 'collections', text: words.frame.collections, shown: may('collection.read') && !isSiteManager },
    { path: may('variance-report.read') ? 'variances' : 'variances/flags', text: words.frame.variances, shown: may('variance.read') },
    { path: 'earnings', text: words.frame.earnings, shown: may('earnings.read') },
    { path: 'payment-runs', text: words.frame.payments, shown: may('payment-run.read') },
    { path: 'sites', text: words.frame.sites, shown: may('site.read') && !isSiteManager },
    { path: 'keys', text: words.frame.keys, shown: may('own-keys.read') },
    { path: 'tax', text: words.frame.tax, shown: may('tax-return.read') },
  ].filter((each) => each.shown);
  return (
    <nav aria-label={words.frame.navigation} className={styles.places}>
      {places.map(({ path, text }) => (
        <NavLink key={path} to={to(path)}>
          {text}
        </NavLink>
      ))}
    </nav>
  );
}
