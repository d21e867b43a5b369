import { engineOf } from '#domain/settlement/engines';
import { engineVersion, settle } from '#domain/settlement/settle';
import { count, inputs, period } from '#tests/support/settlement-inputs';

test('a result is computed again by the engine that it names', () => {
  const given = inputs(period('2026-01-01', '2026-02-01', { counts: [count('A', '2026-01-15', 101n)] }));
  const result = settle(given);
  expect(result.engineVersion).toBe(engineVersion);
  expect(engineOf(result.engineVersion)?.(given)).toEqual(result);
});

test('an engine of the future is not known', () => {
  expect(engineOf(engineVersion + 1)).toBeUndefined();
});
