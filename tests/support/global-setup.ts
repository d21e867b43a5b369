// Loaded by Jest before the tests, without the package's "src" condition: nothing but Node's own modules here.
import { spawn, spawnSync, type ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { chmodSync, mkdtempSync, rmSync, statfsSync, writeFileSync } from 'node:fs';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { buildConsole, type ConsoleBuild } from './build-console';

const MEMORY_FOLDER = '/dev/shm';
/** The log of the server, which keeps a gigabyte, and the largest databases beside each other. */
const MEMORY_NEEDED_BYTES = 4 * 1024 ** 3;

type Run = {
  /** Where everything of the run keeps its files, removed with it; undefined where that is the system's own place. */
  readonly folder: string | undefined;
  readonly broker: Server;
  server: { readonly child: ChildProcess; readonly ready: Promise<string> } | undefined;
  console: ConsoleBuild | undefined;
};

declare global {
  // Jest keeps the global object of setup and teardown, and nothing else, between the two.
  var latchledgerTestRun: Run | undefined;
}

/**
 * Opens a broker on 127.0.0.1. The first test that asks it for a database has the PostgreSQL server of the run started;
 * a run of pure tests never asks, and pays nothing. In the same way the console is built for the first test with a browser.
 */
export default async function globalSetup(): Promise<void> {
  // What outlives a run: pictures, which people look at, and sources as programs that the tests start have compiled them.
  process.env['SCREENSHOTS'] ??= join(tmpdir(), 'shots');
  process.env['SWC_NODE_CACHE_DIR'] ??= join(tmpdir(), `swc-node-${process.getuid?.() ?? 'cache'}`);
  const run: Run = { folder: folderInMemory(), broker: createServer(), server: undefined, console: undefined };
  if (run.folder !== undefined) process.env['TMPDIR'] = run.folder;
  run.broker.on('request', (request, response) => {
    // A connection that is kept is closed after some idle seconds, at times just as the next test asks on it.
    response.setHeader('connection', 'close');
    const asked = request.url === '/console' ? (run.console ??= buildConsole()).done : (run.server ??= startServer()).ready;
    asked.then(
      (line) => response.end(line),
      (error: Error) => response.writeHead(500).end(error.message),
    );
  });
  run.broker.listen(0, '127.0.0.1');
  await once(run.broker, 'listening');
  process.env['LATCHLEDGER_TEST_BROKER'] = `http://127.0.0.1:${(run.broker.address() as AddressInfo).port}/`;
  globalThis.latchledgerTestRun = run;
}

function startServer(): NonNullable<Run['server']> {
  const file = join(__dirname, 'database-server.ts');
  const child = spawn(process.execPath, ['-C', 'src', '-r', '@swc-node/register', file], {
    cwd: join(__dirname, '..', '..'),
    // Its errors are read at the end, so they must not be lost in Jest's own output before that.
    stdio: ['pipe', 'pipe', 'inherit'],
  });
  const ready = new Promise<string>((resolve, reject) => {
    let output = '';
    child.stdout?.setEncoding('utf8').on('data', (text: string) => {
      output += text;
      if (output.includes('\n')) resolve(output);
    });
    child.on('exit', (code) => reject(new Error(`The test database server ended early (exit code ${code}).`)));
  });
  return { child, ready };
}

/**
 * A folder for all files of the run in memory, if the system has one for that with room for every test. A database is
 * some eight hundred files, which a disk takes a second to make and to delete when others use it as well; the tests of
 * the program's own server make two dozen of them, with a write to the disk for each file.
 */
function folderInMemory(): string | undefined {
  let folder: string | undefined;
  try {
    const { bavail, bsize } = statfsSync(MEMORY_FOLDER);
    if (bavail * bsize < MEMORY_NEEDED_BYTES) return undefined;
    folder = mkdtempSync(join(MEMORY_FOLDER, 'latchledger-run-'));
    // As open as the system's own: the accounts that servers run under keep files there, too.
    chmodSync(folder, 0o1777);
    // Some tests put programs into it, which a folder in memory may not be allowed to run.
    const probe = join(folder, 'probe');
    writeFileSync(probe, '#!/bin/sh\n', { mode: 0o755 });
    if (spawnSync(probe).status === 0) return folder;
  } catch {
    // There is none, or it is not ours to use.
  }
  if (folder !== undefined) rmSync(folder, { recursive: true, force: true });
  return undefined;
}
