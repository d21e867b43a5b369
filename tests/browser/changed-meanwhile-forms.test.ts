import { describeWithProgram } from '#tests/support/outside-program';
import { etag, makeGame, makeMachine, makeParty, makePerson, makePlacement, makeSite, makeTaxArea, type Made } from '#tests/support/set-up';
import type { TestClient } from '#tests/support/api';
import type { Visit } from './support/browser';
import { startConsole, signIn, type RunningConsole } from './support/console';

/** A form for something that two people may change: where it opens, and the field that both change. */
interface FormOfThing {
  readonly name: string;
  readonly make: (office: TestClient) => Promise<Made>;
  /** Of the resource: `parties`. */
  readonly resource: string;
  readonly page: (thing: Made) => string;
  readonly button: string | RegExp;
  readonly label: string;
  readonly field: string;
  readonly theirs: string;
  readonly mine: string;
}

const forms: readonly FormOfThing[] = [
  { name: 'a party', make: (office) => makeParty(office), resource: 'parties', page: ({ id }) => `parties/${id}`, button: /^Change details/, label: 'Name', field: 'name', theirs: 'Kettle Inns', mine: 'Kettle and Sons' },
  { name: 'a person', make: (office) => makePerson(office), resource: 'people', page: () => 'persons', button: /^Change details Orla Venn$/, label: 'Name', field: 'name', theirs: 'Orla V. Tarn', mine: 'Orla Tarn' },
  { name: 'a machine', make: (office) => makeMachine(office), resource: 'machines', page: ({ id }) => `machines/${id}`, button: /^Change details/, label: 'Serial number', field: 'serialNumber', theirs: 'SN-100', mine: 'SN-200' },
  { name: 'a game', make: (office) => makeGame(office), resource: 'games', page: () => 'games', button: /^Change details Gravel Comet$/, label: 'Title', field: 'title', theirs: 'Gravel Comet II', mine: 'Gravel Meteor' },
  { name: 'a tax area', make: (office) => makeTaxArea(office), resource: 'tax-areas', page: ({ id }) => `set-up/tax-areas/${id}`, button: 'Change the area', label: 'Name', field: 'name', theirs: 'Quillham', mine: 'Quillham and Marsh' },
  {
    name: 'a placement', resource: 'placements', page: ({ machineId }) => `machines/${String(machineId)}`, button: /^Correct the days S-/, label: 'Stands there since', field: 'placedOn', theirs: '2025-01-03', mine: '2025-01-04',
    make: async (office) => makePlacement(office, { machineId: (await makeMachine(office)).id, siteId: (await makeSite(office)).id }),
  },
];

describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let owner: Visit;
  beforeAll(async () => {
    running = await startConsole();
    owner = await running.visit({ device: 'desk' });
    await owner.page.goto(`/operators/${running.api.operator.code}/account`);
    await signIn(owner, running.api.operator.as('owner'));
    await owner.page.getByRole('heading', { name: 'Your account' }).waitFor();
  }, 180_000);
  afterAll(() => running?.close());

  it.each(forms)('the form for $name shows both sides where a colleague was quicker, and keeps what was typed', async (form) => {
    const { operator } = running.api;
    const office = operator.as('bookkeeper');
    const thing = await form.make(operator.as('owner'));
    const path = `/v1/${form.resource}/${thing.id}`;
    const { page, look } = owner;
    await page.goto(`/operators/${operator.code}/${form.page(thing)}`);
    await page.getByRole('main').getByRole('button', { name: form.button, exact: true }).first().click();
    const dialog = page.getByRole('dialog');
    const field = dialog.getByLabel(form.label, { exact: true });
    await field.fill(form.mine);
    await office.patch(path, { [form.field]: form.theirs }).set('If-Match', etag(thing)).expect(200);
    await dialog.getByRole('button', { name: 'Save', exact: true }).click();

    const notice = dialog.getByRole('alert');
    await notice.getByRole('heading', { name: 'A colleague changed this meanwhile' }).waitFor();
    const sides = notice.getByRole('group', { name: form.label });
    expect(await sides.getByRole('radio').count()).toBe(2);
    expect(await field.inputValue()).toBe(form.mine);
    expect(await look(`changed-meanwhile-${form.resource}`)).toEqual([]);
    await dialog.getByRole('button', { name: 'Save', exact: true }).click();
    await dialog.waitFor({ state: 'detached' });
    expect((await office.get(path).expect(200)).body).toMatchObject({ [form.field]: form.mine });
    expect(owner.complaints).toEqual([]);
  });
});
