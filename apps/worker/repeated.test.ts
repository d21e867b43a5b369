import { setImmediate as aMoment } from 'node:timers/promises';
import { repeated } from './repeated';

it('does its works one after the other, whatever trouble one has', async () => {
  const done: string[] = [];
  const { go, ended } = repeated(
    [
      async () => {
        await aMoment();
        done.push('first');
        throw new Error('no');
      },
      async () => void done.push('second'),
    ],
    (error) => done.push(String(error)),
  );
  go();
  await ended();
  expect(done).toEqual(['first', 'Error: no', 'second']);
});

const neverCalled = (error: unknown): never => {
  throw error;
};

it('lets a turn pass while it is still at work, and goes again after it', async () => {
  let begun = 0;
  let finish = (): void => undefined;
  const { go, ended } = repeated([() => new Promise<void>((resolve) => ((begun += 1), (finish = resolve)))], neverCalled);
  go();
  go();
  expect(begun).toBe(1);
  finish();
  await ended();
  go();
  expect(begun).toBe(2);
  finish();
  await ended();
});
