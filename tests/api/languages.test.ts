import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { makeAgreement, makeMachine, makeParty, makePlacement, makeSite, plainTerms } from '#tests/support/set-up';

let api: TestApi;
let owner: TestClient;
let agreementId: string;
let settlementId: string;

const usd = (amount: string) => ({ amount, currency: 'USD' });

beforeAll(async () => {
  api = await startTestApi();
  const { operator } = api;
  owner = operator.as('owner');
  const site = await makeSite(owner);
  const party = await makeParty(owner, { name: 'Quay Hospitality' });
  const charge = { id: 'first-call', title: 'First call', to: 'operator', scope: 'agreement', amount: { kind: 'amount', per: 'week', amount: '75.50' }, rest: 'lapse' };
  const agreed = { siteId: site.id, partyId: party.id, terms: { ...plainTerms({ partyId: party.id }), charges: [charge] } };
  agreementId = (await makeAgreement(owner, agreed)).id;
  const machine = await makeMachine(owner);
  await makePlacement(owner, { machineId: machine.id, siteId: site.id });
  const visit = await owner.post('/v1/collections', { siteId: site.id, happenedAt: '2025-10-14T18:00:00Z', counts: [{ machineTag: machine['tag'], coin: usd('1500.00'), note: usd('0.00') }] }).expect(201);
  await owner.post(`/v1/collections/${visit.body.id}/accept`).expect(200);
  await owner.post('/v1/closes', { cycle: 'month', startsOn: '2025-10-01' }).expect(202);
  await operator.work();
  const [made] = (await owner.get('/v1/settlements').expect(200)).body.items as { id: string }[];
  settlementId = made?.id ?? '';
});
afterAll(() => api?.close());

const asked = (path: string, language: string | undefined) => {
  const request = owner.get(path).expect(200);
  return language === undefined ? request : request.set('Accept-Language', language);
};
const sentencesOf = async (language?: string): Promise<string> => ((await asked(`/v1/agreements/${agreementId}/versions`, language)).body.items[0].sentences as string[]).join(' ');

test('terms are said in the language that is asked for, with the figures of its region, else in that of the operator', async () => {
  expect(await sentencesOf()).toMatch(/75\.50(?!\u00a0USD)/);
  expect(await sentencesOf('fr')).toBe(await sentencesOf());
  expect(await sentencesOf('de-AT, en;q=0.5')).toMatch(/Quay Hospitality.*40/);
  expect(await sentencesOf('de-AT')).toContain('75,50\u00a0USD');
  expect(await sentencesOf('es-MX')).toContain('75.50');
  expect(new Set([await sentencesOf('en'), await sentencesOf('de'), await sentencesOf('es')]).size).toBe(3);
});

test('a settlement explains its figures in the language that is asked for; for programs it stays as it was', async () => {
  type Line = { kind: string; label: string; why: { rule: string | null; inputs: { label: string; value: string }[] } };
  const told = async (language?: string) => {
    const lines = (await asked(`/v1/settlements/${settlementId}`, language)).body.lines as Line[];
    const of = (kind: string) => lines.find((line) => line.kind === kind)?.why;
    return { cash: of('cash')?.inputs[0], charge: of('charge')?.rule, label: lines.find(({ kind }) => kind === 'cash')?.label };
  };
  expect(await told()).toMatchObject({
    label: 'Cash counted', cash: { label: expect.stringMatching(/^Count of 14 October 2025, M-/), value: '1500.00' }, charge: expect.stringMatching(/^Terms in force from 1 January 2025: .*75\.50 USD/),
  });
  expect(await told('de-DE')).toMatchObject({
    label: 'Gezähltes Bargeld', cash: { label: expect.stringMatching(/^Zählung vom 14\. Oktober 2025, M-/), value: '1.500,00' }, charge: 'Bedingungen ab 1. Januar 2025: Test operator erhält vorab die ersten 75,50\u00a0USD je Woche.',
  });
  expect(await told('es-ES')).toMatchObject({ cash: { label: expect.stringMatching(/^Recuento del 14 de octubre de 2025, M-/), value: '1.500,00' }, charge: expect.stringMatching(/^Condiciones en vigor desde el 1 de enero de 2025: .*75,50\u00a0USD/) });
});

test('what is wrong with a line of a file, and what to mind about figures, is said in the language that is asked for', async () => {
  const file = await owner.send('POST', '/v1/imports?fileName=wrong.csv').set('Content-Type', 'text/csv').send('site,collected_on,machine,coin\nNOWHERE,2025-10-14,M-1,1.00\n').expect(201);
  const messages = async (language?: string) => ((await asked(`/v1/imports/${file.body.id}/errors`, language)).body.items as { message: string }[]).map(({ message }) => message);
  expect(await messages()).toContain('There is no site with this code.');
  expect(await messages('de')).toContain('Es gibt keinen Standort mit diesem Code.');
  expect(await messages('es')).toContain('No hay ningún local con este código.');
  expect((await asked('/v1/variances/attribution?from=2025-01-01&to=2025-11-01', 'es')).body.caution).toMatch(/no prueba nada de ninguna persona/);
});
