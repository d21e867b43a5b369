import { createMetrics, withProcess } from './metrics';

it('exposes what was observed, each registry its own', async () => {
  const metrics = withProcess(createMetrics({ name: 'api' }));
  metrics.requestSeconds.observe({ method: 'GET', route: '/v1/sites/:id', status: '200' }, 0.03);
  metrics.outboxRelayed.inc({ topic: 'settlement.close' }, 3);
  const { contentType, body } = await metrics.expose();
  expect(contentType).toContain('text/plain');
  expect(body).toContain('latchledger_request_seconds_count{process="api",method="GET",route="/v1/sites/:id",status="200"} 1');
  expect(body).toContain('latchledger_outbox_relayed_total{topic="settlement.close",process="api"} 3');
  expect(body).toContain('process_resident_memory_bytes');

  const other = await createMetrics({ name: 'worker' }).expose();
  expect(other.body).not.toContain('latchledger_outbox_relayed_total{');
});
