import { once } from 'node:events';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { Page } from 'playwright-core';
import { areDeliveriesDue, deliverDue } from '#backoffice/webhook/deliver';
import { signatureHeaders } from '#backoffice/webhook/sign';
import { outgoing } from '#runtime/outgoing-post';
import { parseNetwork } from '#runtime/public-address';
import { describeWithProgram } from '#tests/support/outside-program';
import type { Visit } from './support/browser';
import { startConsole, signIn, type RunningConsole } from './support/console';
import { soon } from './support/soon';

const reach = outgoing({ allowed: [parseNetwork('127.0.0.0/8')].flatMap((network) => network ?? []) });

describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let owner: Visit;
  let page: Page;
  let receiver: Server;
  let status = 500;
  let received: { readonly headers: { readonly [header: string]: string }; readonly body: string }[] = [];

  beforeAll(async () => {
    receiver = createServer((request, answer) => {
      let body = '';
      request.on('data', (part: Buffer) => (body += part.toString('utf8')));
      request.on('end', () => {
        received.push({ headers: request.headers as { [header: string]: string }, body });
        answer.writeHead(status).end('The ledger is being mended');
      });
    }).listen(0, '127.0.0.1');
    await once(receiver, 'listening');
    running = await startConsole({ whyUnreachable: reach.whyUnreachable });
    owner = await running.visit({ device: 'desk' });
    page = owner.page;
    await page.goto(`/operators/${running.api.operator.code}`);
    await signIn(owner, running.api.operator.as('owner'));
    await page.getByRole('heading', { name: 'Month end' }).waitFor();
  }, 180_000);
  afterAll(async () => {
    receiver?.closeAllConnections();
    receiver?.close();
    await running?.close();
  });

  const dialog = () => page.getByRole('dialog');
  const row = (name: RegExp) => page.getByRole('row', { name });
  const press = (name: string) => page.getByRole('button', { name, exact: true }).click();
  /** As the worker does. */
  const deliver = async (): Promise<void> => {
    const { backoffice, operator } = running.api;
    const deps = {
      ...backoffice,
      post: reach.post,
      onTrouble: (error: unknown) => {
        throw error;
      },
    };
    if (await areDeliveriesDue(deps, operator.tenantId)) await deliverDue(deps, operator.tenantId);
  };
  const shown = async (): Promise<string> => {
    const value = await dialog().getByLabel('Secret', { exact: true }).inputValue();
    await dialog().getByRole('button', { name: 'I have it' }).click();
    return value;
  };

  it('makes a webhook, tries it out, sees why it fails, sends again, gives it a new secret and switches it off', async () => {
    await page.getByRole('button', { name: 'The owner' }).click();
    await page.getByRole('link', { name: 'Webhooks' }).click();
    await page.getByText('No program is told anything.').waitFor();
    expect(await owner.look('webhooks-none')).toEqual([]);
    await press('Make a webhook');
    await dialog().getByLabel('What listens there').fill('Our accounting');
    await dialog().getByLabel('Address').fill('https://10.0.0.1/in');
    await dialog().getByRole('button', { name: 'Make a webhook' }).click();
    await dialog().getByText(/is no public address/).first().waitFor();
    expect(await owner.look('webhook-refused')).toEqual([]);
    await dialog().getByLabel('Address').fill(`http://127.0.0.1:${(receiver.address() as AddressInfo).port}/in`);
    await dialog().getByLabel('Keys are reported missing').uncheck();
    await dialog().getByRole('button', { name: 'Make a webhook' }).click();
    await page.getByRole('heading', { name: 'Secret of Our accounting' }).waitFor();
    const secret = await shown();
    await row(/Our accounting.*On/).waitFor();
    expect(await owner.look('webhooks')).toEqual([]);

    await page.getByRole('link', { name: 'Our accounting' }).click();
    await press('Send a test');
    await page.getByText('The test is on its way.', { exact: false }).waitFor();
    await deliver();
    await row(/A test.*Waits.*1 attempt.*trouble of its own \(answer 500\).*Next attempt/).waitFor();
    await page.getByRole('button', { name: 'Attempts A test' }).click();
    await dialog().getByText('The ledger is being mended').waitFor();
    await dialog().getByText('"type":"webhook.test"', { exact: false }).waitFor();
    expect(await owner.look('webhook-attempts')).toEqual([]);
    await dialog().getByRole('button', { name: 'Close' }).click();

    status = 204;
    await page.getByRole('button', { name: 'Send again A test' }).click();
    await soon(async () => {
      await deliver();
      expect(received).toHaveLength(2);
    });
    await page.reload();
    await row(/A test.*Taken.*2 attempts/).waitFor();
    expect(await owner.look('webhook')).toEqual([]);
    const [first, second] = received;
    expect(second?.headers['webhook-id']).toBe(first?.headers['webhook-id']);
    const signed = ({ headers, body }: (typeof received)[number], ...secrets: string[]) =>
      signatureHeaders({ id: headers['webhook-id'] ?? '', sentAt: new Date(Number(headers['webhook-timestamp']) * 1000), body }, secrets)['webhook-signature'];
    expect(received.map((each) => each.headers['webhook-signature'])).toEqual(received.map((each) => signed(each, secret)));

    await press('New secret');
    await dialog().getByRole('button', { name: 'New secret' }).click();
    await page.getByRole('heading', { name: 'Secret of Our accounting' }).waitFor();
    const rotated = await shown();
    await page.getByText('Messages are signed under the old secret, too', { exact: false }).waitFor();
    received = [];
    await press('Send again');
    await dialog().getByLabel('Which messages').selectOption({ label: 'All of them' });
    expect(await owner.look('webhook-replay')).toEqual([]);
    await dialog().getByRole('button', { name: 'Send again' }).click();
    await page.getByText('1 message goes out again.').waitFor();
    await deliver();
    expect(received.map((each) => each.headers['webhook-signature'])).toEqual(received.map((each) => signed(each, rotated, secret)));
    expect(received).toHaveLength(1);

    await press('Switch off');
    await dialog().getByRole('button', { name: 'Switch off' }).click();
    await page.getByText('Switched off').waitFor();
    await page.getByRole('button', { name: 'Switch on' }).waitFor();
    expect(owner.complaints).toEqual([]);
  }, 180_000);

  it('shows it all on a phone, and nothing of it to whoever is no owner', async () => {
    const phone = await running.visit({ device: 'phone' });
    await phone.page.goto(new URL(page.url()).pathname);
    await signIn(phone, running.api.operator.as('owner'));
    await phone.page.getByRole('heading', { name: 'Our accounting' }).waitFor();
    await phone.page.getByRole('row', { name: /A test/ }).waitFor();
    expect(await phone.look('webhook')).toEqual([]);
    await phone.page.goto(`/operators/${running.api.operator.code}/webhooks`);
    await phone.page.getByRole('row', { name: /Our accounting/ }).waitFor();
    expect(await phone.look('webhooks')).toEqual([]);
    await phone.context.close();

    const clerk = await running.visit({ device: 'desk' });
    await clerk.page.goto(`/operators/${running.api.operator.code}/webhooks`);
    await signIn(clerk, running.api.operator.as('bookkeeper'));
    await clerk.page.getByRole('heading', { level: 1 }).waitFor();
    expect(await clerk.page.getByText('Our accounting').count()).toBe(0);
    await clerk.context.close();
  }, 180_000);
});
