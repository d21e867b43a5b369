import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

type Loaded = { readonly loadedAt: object; readonly fail: () => never };

let directory: string;
beforeEach(() => (directory = mkdtempSync(join(tmpdir(), 'test-runtime-'))));
afterEach(() => rmSync(directory, { recursive: true, force: true }));

function moduleOf(name: string, source: string): string {
  const path = join(directory, name);
  writeFileSync(path, source);
  return path;
}

function loadedAnew(path: string): Loaded {
  let loaded: Loaded | undefined;
  jest.isolateModules(() => (loaded = jest.requireActual<Loaded>(path)));
  if (loaded === undefined) throw new Error(`${path} was not loaded`);
  return loaded;
}

const stackOf = (work: () => never): string => {
  try {
    return work();
  } catch (error) {
    return (error as Error).stack ?? '';
  }
};

it('runs a module that was compiled before for itself, under the globals of the file that asks', () => {
  const path = moduleOf('twice.js', 'exports.loadedAt = new Date(0); exports.fail = () => { throw new Error("twice"); };');
  const [first, second] = [loadedAnew(path), loadedAnew(path)];
  expect(second.loadedAt).toEqual(first.loadedAt);
  expect(second.loadedAt).not.toBe(first.loadedAt);
  expect(first.loadedAt).toBeInstanceOf(Date);
});

it('names the place of an error as it stands in the file, on the first line too', () => {
  const path = moduleOf('places.js', 'exports.fail = () => { throw new Error("first line"); };\nexports.later = () => {\n  throw new Error("third line");\n};\n');
  const loaded = loadedAnew(path) as Loaded & { readonly later: () => never };
  expect(stackOf(loaded.fail)).toContain('places.js:1:30');
  expect(stackOf(loaded.later)).toContain('places.js:3:9');
});

it('leaves what cannot be compiled to Jest, which says where', () => {
  const path = moduleOf('broken.js', 'exports.one = 1;\nexports.two = ;\n');
  expect(() => loadedAnew(path)).toThrow(SyntaxError);
  expect(stackOf(() => loadedAnew(path) as never)).toContain('broken.js:2');
});
