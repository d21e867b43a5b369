import { CONNECTION_BUDGET } from './connection-budget';

it('lets one api, two workers and a command run on a server with default settings', () => {
  const { api, worker, queue, relay, command } = CONNECTION_BUDGET;
  const [maxConnections, reservedForAdministrators, presence] = [100, 3, 1];
  expect(api + 2 * (worker + queue + relay) + command).toBeLessThanOrEqual(maxConnections - reservedForAdministrators - presence);
});
