import { randomUUID } from 'node:crypto';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import type { Page, Route } from 'playwright-core';
import type { Role } from '#domain/permissions/role';
import { permissions, type Action, type Row } from '#domain/permissions/table';
import { describeWithProgram } from '#tests/support/outside-program';
import type { Visit } from './support/browser';
import { startConsole, signIn, type RunningConsole } from './support/console';
import { lookedAtIn, pathsOfRouter, screenAt } from './support/screens';

/** What a screen needs. `for` names who is shown it, where that is not the owner; `query` what its question needs; `asks` the button that asks it, where coming here does not. */
type Screen = { readonly needs: Action; readonly for?: Role; readonly query?: string; readonly asks?: string };
const needs = (action: Action, more: Omit<Screen, 'needs'> = {}): Screen => ({ needs: action, ...more });

/** Every screen of an operator that asks the api for something, by its path in routes.tsx. */
const screens: Readonly<Record<string, Screen>> = {
  'month-end': needs('close.read'),
  'month-end/:cycle/:startsOn': needs('close.read'),
  'settlements/:settlementId': needs('settlement.read'),
  'agreements/new': needs('agreement.create', { query: `?site=${randomUUID()}` }),
  'agreements/:agreementId/terms': needs('agreement.change'),
  audit: needs('audit-trail.read'),
  collections: needs('collection.read'),
  'collections/break-ins': needs('break-in.read'),
  'collections/cards': needs('cashless.read'),
  'collections/cash': needs('cash-trail.read'),
  'collections/cash/gaps': needs('cash-trail.read'),
  'collections/enter': needs('collection.create'),
  'collections/refunds': needs('refund-claim.read'),
  'collections/:collectionId': needs('collection.read'),
  'collections/:collectionId/count': needs('bag.handle'),
  'collections/imports': needs('import.read'),
  'collections/imports/:importId': needs('import.read'),
  earnings: needs('earnings.read'),
  evidence: needs('evidence.read'),
  games: needs('game.read'),
  journal: needs('journal.read'),
  // Their own keys for whoever looks after no others.
  keys: needs('own-keys.read'),
  'keys/attention': needs('key-attention.read'),
  'keys/cases': needs('key-case.read'),
  'keys/cases/:caseId': needs('key-case.read'),
  'keys/codes': needs('key-code.read'),
  'keys/codes/:codeId': needs('key-code.read'),
  'keys/copies/:copyId': needs('key-reach.read'),
  'keys/exceptions': needs('key-exception.read'),
  'keys/inventories': needs('key-inventory.read'),
  'keys/inventories/:inventoryId': needs('key-inventory.read'),
  'keys/openers': needs('key-reach.read'),
  'keys/own': needs('own-keys.read'),
  'keys/people/:personId': needs('key-reach.read'),
  'keys/people/:personId/erasure': needs('person.erase'),
  'keys/policy': needs('policy.read'),
  'keys/rings': needs('key-ring.read'),
  'keys/set-up': needs('key-site.read'),
  'keys/sites': needs('key-site.read'),
  'keys/sites/:siteId': needs('key-site.read'),
  'keys/stores': needs('key-store.read'),
  machines: needs('machine.read'),
  'machines/reports': needs('outage.read'),
  'machines/:machineId': needs('machine.read'),
  parties: needs('party.read'),
  'parties/:partyId': needs('party.read'),
  'payment-runs': needs('payment-run.read'),
  'payment-runs/accounts': needs('bank-detail.read'),
  'payment-runs/ageing': needs('open-item.read'),
  'payment-runs/year-end': needs('year-end.read'),
  'payment-runs/:runId': needs('payment-run.read'),
  people: needs('member.read'),
  persons: needs('person.read'),
  retention: needs('retention.read'),
  rounds: needs('collection-due.read'),
  'rounds/visits': needs('visit.read'),
  'rounds/:roundId': needs('round.read'),
  search: needs('search.read', { query: '?text=heron' }),
  'set-up': needs('site.create'),
  'set-up/office': needs('operator.change'),
  'set-up/tax-areas': needs('tax-area.read'),
  'set-up/tax-areas/:areaId': needs('tax-area.read'),
  'set-up/tolerances': needs('tolerance-rule-set.read'),
  signature: needs('signing-key.read'),
  sites: needs('site.read'),
  'sites/:siteId': needs('site.read'),
  'sites/:siteId/account': needs('site-account.read'),
  tax: needs('tax-return.read'),
  'tax/:areaId/returns/:returnId': needs('tax-return.read'),
  today: needs('visit.send'),
  'today/:roundId/:siteId': needs('visit.send'),
  tokens: needs('api-token.read'),
  webhooks: needs('webhook.read'),
  'webhooks/:webhookId': needs('webhook.read'),
  variances: needs('variance-report.read'),
  'variances/attribution': needs('variance.attribute', { asks: 'Compare' }),
  'variances/flags': needs('variance.read'),
  'variances/flags/:flagId': needs('variance.read'),
  'variances/machines/:machineId': needs('variance.read'),
  'what-if': needs('what-if.preview'),
  share: needs('site-view.read', { for: 'site-manager' }),
  'share/:siteId': needs('site-view.read', { for: 'site-manager' }),
};

/** Shows what is known of whoever is signed in. */
const withoutQuestion: readonly string[] = ['account'];

describe('the lists of screens', () => {
  const paths = pathsOfRouter();

  it('know every screen of the router', () => {
    expect(paths.length).toBeGreaterThan(80);
    expect([...Object.keys(screens), ...withoutQuestion].sort()).toEqual(paths.filter((path) => !/^[/*]/.test(path)).sort());
  });

  it('say of every address of the router by which test it is looked at', () => {
    expect(Object.keys(lookedAtIn).sort()).toEqual([...paths].sort());
    expect([...new Set(Object.values(lookedAtIn))].filter((name) => !existsSync(join(__dirname, `${name}.test.ts`)))).toEqual([]);
  });

  it('know an address by its path', () => {
    const operator = 'http://127.0.0.1:1/operators/mill';
    expect(screenAt(`${operator}/collections/cash?day=2026-10-01`)).toBe('collections/cash');
    expect(screenAt(`${operator}/collections/0195/count`)).toBe('collections/:collectionId/count');
    expect(screenAt(`${operator}/month-end/month/2026-10-01`)).toBe('month-end/:cycle/:startsOn');
    expect(screenAt('http://127.0.0.1:1/')).toBe('/');
    expect(screenAt('http://127.0.0.1:1/statement-standing#a.b')).toBe('/statement-standing');
    expect(screenAt(`${operator}/nowhere`)).toBe('*');
  });
});

/** Those of the people below who may not. */
function strangersTo(action: Action): Role[] {
  const row: Row = permissions[action];
  return (['bookkeeper', 'collector', 'site-manager'] as const).filter((role) => row.grants[role] === undefined);
}

const requestId = randomUUID();
const brokenAnswer = {
  status: 500,
  contentType: 'application/problem+json',
  body: JSON.stringify({ type: 'about:blank', title: 'Something went wrong on our side', status: 500, code: 'unexpected', advice: 'Repeat the request; if it fails again, report the request id.', requestId }),
};

/** The screen that is there now; the one that somebody left is marked, and stands until the next has come. */
const ARRIVED = 'main:not([data-left])';

describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  const people = new Map<Role, Visit>();
  /** Whether answers of the api are held back, or broken. Who is signed in was answered before. */
  let answers: 'held' | 'broken' = 'held';
  let held: Route[] = [];
  beforeAll(async () => {
    running = await startConsole();
    for (const role of ['owner', 'bookkeeper', 'collector', 'site-manager'] as const) {
      const person = await running.visit({ device: 'desk' });
      people.set(role, person);
      await person.page.goto(`/operators/${running.api.operator.code}/account`);
      await signIn(person, running.api.operator.as(role));
      await person.page.getByRole('heading', { name: 'Your account' }).waitFor();
      await person.page.route((url) => url.pathname.startsWith('/v1/') && url.pathname !== '/v1/account', (route) => {
        if (answers === 'broken') return route.fulfill(brokenAnswer);
        held.push(route);
        return undefined;
      });
    }
  }, 180_000);
  afterAll(() => running?.close());

  const pageOf = (role: Role): Page => {
    const person = people.get(role);
    if (person === undefined) throw new Error(`nobody is signed in as ${role}`);
    return person.page;
  };
  /** Goes there within the page, as its links do: no script is loaded a second time. */
  async function go(page: Page, path: string, query = ''): Promise<void> {
    const address = `/operators/${running.api.operator.code}/${path.replace(':cycle', 'month').replace(':startsOn', '2026-10-01').replaceAll(/:\w+/g, randomUUID())}${query}`;
    await page.evaluate(`document.querySelector('main').dataset.left = ''; history.pushState({}, '', ${JSON.stringify(address)}); dispatchEvent(new PopStateEvent('popstate', { state: history.state }))`);
  }
  /** Screens of one kind follow each other without being drawn anew. */
  async function goByAccount(page: Page, path: string, query?: string): Promise<void> {
    await go(page, 'account');
    await page.getByRole('heading', { name: 'Your account' }).waitFor();
    await go(page, path, query);
  }

  it.each(Object.entries(screens))('%s says that it is loading, and what went wrong', async (path, { query, for: role = 'owner', asks }) => {
    const page = pageOf(role);
    answers = 'held';
    held = [];
    await (path.startsWith('share') ? goByAccount : go)(page, path, query);
    const main = page.locator(ARRIVED);
    if (asks !== undefined) await main.getByRole('button', { name: asks }).click();
    await main.getByRole('status').filter({ hasText: 'Loading' }).first().waitFor();
    answers = 'broken';
    for (const route of held) await route.fulfill(brokenAnswer);
    await main.getByRole('alert').filter({ hasText: 'Something went wrong on our side' }).first().waitFor();
    // The way out of a screen that shows nothing is its frame; a heading says where one is.
    await main.getByRole('heading', { level: 1 }).waitFor();
  });

  it.each(Object.entries(screens).flatMap(([path, { needs: action }]) => strangersTo(action).map((role) => [path, role] as const)))('%s is closed to a %s, who is told so without a question to the api', async (path, role) => {
    const page = pageOf(role);
    answers = 'held';
    held = [];
    await (path.startsWith('share') ? goByAccount : go)(page, path);
    await page.locator(ARRIVED).getByText('This is not open to your role').waitFor();
    expect(held.map((route) => new URL(route.request().url()).pathname)).toEqual([]);
  });

  it('never broke', () => expect([...people.values()].flatMap(({ complaints }) => complaints)).toEqual([]));
});
