import { BROKER_VARIABLE } from '#tests/support/test-server';

/** Folder with the console of today's sources; built once in a run, by the first who asks, and removed after the last test. */
export async function builtConsole(): Promise<string> {
  const broker = process.env[BROKER_VARIABLE];
  if (broker === undefined) throw new Error('The console is built by the global setup of jest.config.js.');
  const response = await fetch(new URL('console', broker));
  const text = await response.text();
  if (!response.ok) throw new Error(text);
  return text;
}
