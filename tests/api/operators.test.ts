import { createOperator } from '#backoffice/operator/create';
import { readOperatorCommand } from '#command/operator-create';
import { startTestApi, TEST_PASSWORD, type TestApi } from '#tests/support/api';

let api: TestApi;
beforeAll(async () => {
  api = await startTestApi();
});
afterAll(() => api?.close());

const words = (changes: { [option: string]: string | undefined } = {}): string[] => {
  const options = { code: 'harbour-lane', name: 'Harbour Lane', country: 'DE', currency: 'EUR', 'time-zone': 'Europe/Berlin', email: 'owner@lane.example', ...changes };
  return Object.entries(options).flatMap(([option, value]) => (value === undefined ? [] : [`--${option}`, value]));
};

test('an operator that the command makes gets its first owner in by the link', async () => {
  const created = await createOperator(api.backoffice, readOperatorCommand(words()));
  if (!created.ok) throw new Error(created.failure.code);
  const { operator, invitation } = created.value;
  expect(operator).toMatchObject({ code: 'harbour-lane', country: 'DE', currency: 'EUR', locale: 'en-DE', timeZone: 'Europe/Berlin', paper: 'A4', csvDecimal: 'comma', secondFactorRequired: false, revision: 1 });

  const secret = invitation.address?.split('#')[1];
  const accepted = await api.anonymous.post('/v1/links/accept-invitation').send({ secret, name: 'First Owner', password: TEST_PASSWORD }).expect(200);
  expect(accepted.body.operators).toEqual([expect.objectContaining({ id: operator.id, code: 'harbour-lane', role: 'owner' })]);
  const cookie = (accepted.headers['set-cookie']?.[0] ?? '').split(';')[0] ?? '';
  expect((await api.anonymous.get('/v1/operator').set('Cookie', cookie).expect(200)).body).toEqual(operator);

  const again = await createOperator(api.backoffice, readOperatorCommand(words()));
  expect(again).toEqual({ ok: false, failure: { code: 'already-exists', detail: 'There is an operator with the code harbour-lane.' } });
});

test.each([
  ['a code with a space', { code: 'Harbour Lane' }, /--code Harbour Lane: must be/],
  ['no e-mail address', { email: undefined }, /--email is missing/],
  ['a time zone that there is not', { 'time-zone': 'Mars/Base' }, /--time-zone Mars\/Base: is not a known time zone/],
  ['an offset for a time zone', { 'time-zone': '+02:00' }, /--time-zone \+02:00: is not a known time zone/],
  ['an unknown currency', { currency: 'XYZ' }, /--currency XYZ: is not a currency/],
  ['an option that there is not', { colour: 'red' }, /--colour/],
])('%s is refused with its name', (_what, changes, message) => {
  expect(() => readOperatorCommand(words(changes))).toThrow(message);
});

test('what stays for good cannot be changed, and what can is checked', async () => {
  const owner = api.operator.as('owner');
  const read = await owner.get('/v1/operator').expect(200);
  const change = (body: object) => owner.patch('/v1/operator', body).set('If-Match', read.headers['etag'] ?? '');
  for (const field of ['code', 'country', 'currency', 'id']) {
    expect((await change({ [field]: read.body[field] }).expect(400)).body.errors).toEqual([expect.objectContaining({ pointer: `#/${field}`, code: 'unknown-field' })]);
  }
  await change({ timeZone: 'Nowhere/Else' }).expect(400);
  await change({ paper: 'Foolscap' }).expect(400);
  const changed = await change({ addressLines: ['1 Quay Road', 'Port Sample'], paper: 'Letter', csvDecimal: 'comma' }).expect(200);
  expect(changed.body).toEqual({ ...read.body, addressLines: ['1 Quay Road', 'Port Sample'], paper: 'Letter', csvDecimal: 'comma', revision: 2 });
});
