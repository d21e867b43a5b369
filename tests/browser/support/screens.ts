import { readFileSync } from 'node:fs';
import { join } from 'node:path';

/**
 * Every address of the console, by its path in routes.tsx, with the test file that looks at it (`look` of browser.ts: the rules of
 * WCAG, width and, at its first look, the colours of the other scheme). That file fails where it did not; see `unseenBy`.
 */
export const lookedAtIn: Readonly<Record<string, string>> = {
  '/sign-in': 'session',
  '/link': 'session',
  '/key-receipt': 'key-receipt',
  '/statement-standing': 'verifier',
  '/': 'session',
  '*': 'states',
  'month-end': 'states',
  'month-end/:cycle/:startsOn': 'month-end',
  'settlements/:settlementId': 'month-end',
  account: 'session',
  'agreements/new': 'set-up',
  'agreements/:agreementId/terms': 'set-up',
  audit: 'set-up',
  collections: 'month-end',
  'collections/break-ins': 'beside-counts',
  'collections/cards': 'beside-counts',
  'collections/cash': 'variances',
  'collections/cash/gaps': 'variances',
  'collections/enter': 'visits-on-paper',
  'collections/refunds': 'refund-claims',
  'collections/:collectionId': 'variances',
  'collections/:collectionId/count': 'collector',
  'collections/imports': 'import',
  'collections/imports/:importId': 'import',
  earnings: 'variances',
  evidence: 'evidence',
  games: 'set-up',
  journal: 'site-account',
  keys: 'keys',
  'keys/attention': 'keys',
  'keys/cases': 'keys-daily',
  'keys/cases/:caseId': 'keys-daily',
  'keys/codes': 'key-set-up',
  'keys/codes/:codeId': 'key-set-up',
  'keys/copies/:copyId': 'keys',
  'keys/exceptions': 'key-set-up',
  'keys/inventories': 'keys-daily',
  'keys/inventories/:inventoryId': 'keys-daily',
  'keys/openers': 'keys',
  'keys/own': 'keys-daily',
  'keys/people/:personId': 'keys',
  'keys/people/:personId/erasure': 'keys',
  'keys/policy': 'key-set-up',
  'keys/rings': 'key-set-up',
  'keys/set-up': 'key-set-up',
  'keys/sites': 'key-set-up',
  'keys/sites/:siteId': 'key-set-up',
  'keys/stores': 'key-set-up',
  machines: 'set-up',
  'machines/reports': 'variances',
  'machines/:machineId': 'set-up',
  parties: 'statements',
  'parties/:partyId': 'set-up',
  'payment-runs': 'payment-runs',
  'payment-runs/accounts': 'payment-runs',
  'payment-runs/ageing': 'payments',
  'payment-runs/year-end': 'payment-runs',
  'payment-runs/:runId': 'payment-runs',
  people: 'access',
  persons: 'set-up',
  retention: 'retention',
  rounds: 'collector',
  'rounds/visits': 'collector',
  'rounds/:roundId': 'collector',
  search: 'site-account',
  'set-up': 'set-up',
  'set-up/office': 'set-up',
  'set-up/tax-areas': 'set-up',
  'set-up/tax-areas/:areaId': 'set-up',
  'set-up/tolerances': 'flags-followed',
  signature: 'statements',
  sites: 'month-end',
  'sites/:siteId': 'month-end',
  'sites/:siteId/account': 'site-account',
  tax: 'tax',
  'tax/:areaId/returns/:returnId': 'tax',
  today: 'collector',
  'today/:roundId/:siteId': 'collector',
  tokens: 'access',
  webhooks: 'webhooks',
  'webhooks/:webhookId': 'webhooks',
  variances: 'variances',
  'variances/attribution': 'variances',
  'variances/flags': 'variances',
  'variances/flags/:flagId': 'variances',
  'variances/machines/:machineId': 'variances',
  'what-if': 'site-account',
  share: 'month-end',
  'share/:siteId': 'keys-daily',
};

const OF_OPERATOR = '/operators/:operatorCode';

/** What the router declares: those of an operator without what stands before them. The frame around them is no screen, nor is `index`, which leads on. */
export function pathsOfRouter(): string[] {
  const source = readFileSync(join(__dirname, '../../../apps/console/routes.tsx'), 'utf8');
  return [...new Set([...source.matchAll(/\bpath: '([^']+)'/g)].map(([, path = '']) => path))].filter((path) => path !== OF_OPERATOR);
}

/** The path of the router that an address is at: of several the one that names most of it, as the router itself chooses. */
export function screenAt(address: string): string {
  const { pathname } = new URL(address);
  const below = /^\/operators\/[^/]+\/(.+)$/.exec(pathname)?.[1];
  const parts = (below ?? pathname).split('/');
  const fits = (path: string): boolean => {
    const asked = path.split('/');
    return asked.length === parts.length && asked.every((part, place) => part.startsWith(':') || part === parts[place]);
  };
  const [best = '*'] = Object.keys(lookedAtIn).filter((path) => path.startsWith('/') === (below === undefined) && fits(path)).sort((one, other) => one.split(':').length - other.split(':').length);
  return best;
}

/** Whether one of these test files is the one that looks at a screen. */
export function looksAt(files: readonly string[], screen: string): boolean {
  return files.some((file) => file.endsWith(`/tests/browser/${lookedAtIn[screen] ?? ''}.test.ts`));
}

/** The screens that these test files are to look at, and did not. */
export function unseenBy(files: readonly string[], seen: ReadonlySet<string>): string[] {
  return Object.keys(lookedAtIn).filter((screen) => looksAt(files, screen) && !seen.has(screen));
}
