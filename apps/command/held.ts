import { createRequire } from 'node:module';

/**
 * A process that waits at the start line: `held.js <program> <module>...` loads the modules, which takes most of the time
 * that a start takes, and runs the program when its environment arrives. So api and worker load beside the database
 * coming up instead of after it. Nothing of the program's own runs before that.
 */
const load = createRequire(__filename);
const [program, ...modules] = process.argv.slice(2);
if (program === undefined || process.send === undefined) throw new Error('held.js is started by npm start alone');

const endWithoutBegin = (): never => process.exit(0);
process.once('disconnect', endWithoutBegin);
process.once('message', ({ environment }: BeginMessage) => {
  process.off('disconnect', endWithoutBegin);
  for (const name of Object.keys(process.env)) delete process.env[name];
  Object.assign(process.env, environment);
  load(program);
});
for (const module of modules) load(module);

export type BeginMessage = { readonly environment: Readonly<Record<string, string>> };
