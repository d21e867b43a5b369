import { transmissionOf } from '#tests/support/audit-data';
import { makeCollection, usd } from '#tests/support/collecting';
import { fitBoard, meterFields } from '#tests/support/metering';
import type { TestOperator } from '#tests/support/api';
import type { Samples } from '#tests/support/samples';
import { makeRunningSite } from '#tests/support/set-up';

async function readOut(operator: TestOperator) {
  const office = operator.as('owner');
  const { site, machine } = await makeRunningSite(office);
  const meters = [meterFields({ digits: 8, unitValue: usd('0.01'), mostPerHour: 100_000, value: '0' })];
  await fitBoard(office, machine.id, { meters });
  const { id: collectionId } = await makeCollection(office, site, []);
  return { collectionId, machine, text: transmissionOf({ assetNumber: String(machine['tag']), notes: [0, 0] }) };
}

export const samples: Samples = {
  'POST /v1/audit-files': {
    prepare: async ({ operator }) => {
      const { collectionId, machine, text } = await readOut(operator);
      return { query: { collectionId, machineId: machine.id }, body: { text } };
    },
  },
  'GET /v1/collections/{id}/audit-files': { prepare: async ({ operator }) => ({ params: { id: (await readOut(operator)).collectionId } }) },
  'POST /v1/audit-files/{id}/accept': {
    prepare: async ({ operator }) => {
      const { collectionId, machine, text } = await readOut(operator);
      const { body } = await operator.as('owner').send('POST', `/v1/audit-files?collectionId=${collectionId}`).set('Content-Type', 'application/octet-stream').send(Buffer.from(text)).expect(201);
      return { params: { id: (body as { id: string }).id }, body: { machineId: machine.id } };
    },
  },
};
