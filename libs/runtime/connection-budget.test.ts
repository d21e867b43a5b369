import { CONNECTION_BUDGET } from './connection-budget';

it('lets one api, three workers with two queues and a command run on a server with default settings', () => {
  const { api, worker, queuePublisher, queueWorker, relay, command } = CONNECTION_BUDGET;
  const [maxConnections, reservedForAdministrators, presence] = [100, 3, 1];
  const needed = api + 3 * (worker + 2 * (queuePublisher + queueWorker) + relay) + command;
  expect(needed).toBeLessThanOrEqual(maxConnections - reservedForAdministrators - presence);
});
