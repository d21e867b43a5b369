import { tellOwnersOfRevocations } from '#backoffice/certificate/tell-owners';
import { startTestApi, type TestApi } from '#tests/support/api';
import { bringOne } from './samples/certificates';

let api: TestApi;
beforeAll(async () => {
  api = await startTestApi();
});
afterAll(() => api?.close());

type Mail = { readonly to: readonly string[]; readonly subject: string; readonly text: string };

it('tells owners by mail of a revoked certificate, each once: what it means for statements signed before and since, first open and then confirmed', async () => {
  const { operator } = api;
  const path = `/v1/signing-certificates/${await bringOne(operator)}/revocation`;
  await operator.as('owner').post(path, { reason: 'Lost token.', revokedFrom: '2026-02-01T00:00:00Z' }).expect(200);
  await operator.as('reviewer').post(`${path}/confirmation`).expect(200);
  const owners = operator.as('owner').email;
  const mailed = async (outcome: 'sent' | 'refused'): Promise<Mail[]> => {
    const mails: Mail[] = [];
    await tellOwnersOfRevocations(api.backoffice, { send: async (message) => (mails.push(message), outcome), onTrouble: (error) => expect(error).toBeUndefined() });
    return mails;
  };
  expect(await mailed('refused')).toHaveLength(2);
  expect(await mailed('sent')).toHaveLength(0);
  api.clock.advance({ milliseconds: 61_000 });
  const mails = await mailed('sent');
  expect(mails.map(({ to }) => to)).toEqual([[owners], [owners]]);
  expect(await mailed('sent')).toHaveLength(0);
  const [recorded, confirmed] = ['was revoked', 'was confirmed'].map((about) => mails.find(({ subject }) => subject.includes(about))?.text);
  expect(recorded).toMatch(/Nothing is signed under it any more[\s\S]*revoked from {2}2026-02-01T00:00:00\.000Z[\s\S]*by {12}The owner[\s\S]*reason {8}Lost token\./);
  expect(recorded).toMatch(/in doubt once a second person confirms the time, and not before[\s\S]*signed before that time stand/);
  expect(confirmed).toMatch(/by {12}The reviewer[\s\S]*Statements signed since that time are in doubt \(0\)/);
  expect(confirmed).toContain(`/operators/${operator.code}/signature`);
});
