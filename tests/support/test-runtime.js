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

/** What files were turned into before they were compiled, by their names. */
const transformed = new Map();

/** Empties itself for nobody: each runtime clears its maps away at the end of its file. */
class Kept extends Map {
  clear() {}
}
/** Which file is meant by a name in another one. */
const paths = new Kept();
/** Whether a stand-in lies beside a file. */
const standIns = new Kept();

/** A worker lives for one run, in which no source changes. Jest's own process may live for many, where it watches. */
const isWorker = process.send !== undefined;

/**
 * Jest's runtime, which keeps what it compiled. As it is, Jest has each module compiled anew for each test file, a
 * thousand of them where the api is started, and with them each function when it is first called; and it looks for each on the
 * disk and reads it anew. Each file still runs every module for itself, under globals of its own.
 */
module.exports = class KeepsCompiled extends Runtime {
  constructor(...parameters) {
    super(...parameters);
    if (isWorker) {
      Object.assign(this._resolution, { cjsCache: paths, manualMockCache: standIns });
      keepTransformed(this.transformCache);
    }
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

function keepTransformed(cache) {
  const transformAnew = cache.transform.bind(cache);
  cache.transform = (filename, options) => {
    const isPlain = options?.isInternalModule !== true && options?.supportsStaticESM !== true;
    const known = isPlain ? transformed.get(filename) : undefined;
    if (known === undefined) {
      const code = transformAnew(filename, options);
      if (isPlain && cache.transforms.has(filename)) transformed.set(filename, cache.transforms.get(filename));
      return code;
    }
    cache.transforms.set(filename, known);
    if (known.sourceMapPath) cache.sourceMaps.set(filename, known.sourceMapPath);
    return known.code;
  };
}

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
