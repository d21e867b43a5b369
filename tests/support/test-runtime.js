// Loaded by Jest before the tests, as it is: plain JavaScript.
const { default: Runtime } = require('jest-runtime');
const { Script } = require('node:vm');

/**
 * Scripts by the name of their file, for as long as the worker lives. A script belongs to no globals until it is run, so
 * that it serves every test file.
 *
 * @type {Map<string, { source: string, script: Script }>}
 */
const scripts = new Map();

/**
 * Jest's runtime, which keeps what it compiled. As it is, Jest has each module compiled anew for each test file, a
 * thousand of them where the api is started, and with them each function when it is first called. Each file still runs
 * every module for itself, under globals of its own.
 */
module.exports = class KeepsCompiled extends Runtime {
  constructor(...parameters) {
    super(...parameters);
    const { executor, _environment: environment } = this;
    const compileAnew = executor.compile.bind(executor);
    executor.compile = (source, filename) => {
      const context = environment.getVmContext();
      const script = scriptOf(source, filename, executor.injectedModuleParameters);
      // What cannot be compiled is left to Jest, which explains it; and whatever is asked after the last test is refused there.
      return context === null || script === undefined ? compileAnew(source, filename) : script.runInContext(context);
    };
  }
};

function scriptOf(source, filename, parameters) {
  const known = scripts.get(filename);
  if (known?.source === source) return known.script;
  const opening = `(function (${parameters.join(', ')}) {`;
  try {
    const script = new Script(`${opening}${source}\n})`, { filename, columnOffset: -opening.length });
    scripts.set(filename, { source, script });
    return script;
  } catch {
    return undefined;
  }
}
