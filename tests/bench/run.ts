/**
 * `npm run bench`: every measure as a ratio to a floor of the same run, so that figures of different machines compare.
 * `-- --json` prints one object and nothing else; `-- <name>` runs one bench.
 */
import { benchClose } from './close.bench';
import { benchImport } from './import.bench';
import { benchKeys } from './keys.bench';
import { benchLongList } from './long-list.bench';
import { benchSettlementEngine } from './settlement-engine.bench';
import { benchStart } from './start.bench';
import { benchStatement } from './statement.bench';
import { benchStatementMemory } from './statement-memory.bench';
import { benchVarianceList } from './variance-list.bench';
import { benchVerifier } from './verifier.bench';
import { benchVerifyLog } from './verify-log.bench';
import { benchWhatIf } from './what-if.bench';

const benches = { close: benchClose, engine: benchSettlementEngine, statement: benchStatement, 'statement-memory': benchStatementMemory, verifier: benchVerifier, start: benchStart, 'what-if': benchWhatIf, keys: benchKeys, 'verify-log': benchVerifyLog, 'variance-list': benchVarianceList, 'long-list': benchLongList, import: benchImport } as const;

type Name = keyof typeof benches;

function isName(word: string): word is Name {
  return word in benches;
}

async function main(words: readonly string[]): Promise<void> {
  const asJson = words.includes('--json');
  const names = words.filter((word) => word !== '--json');
  const unknown = names.filter((word) => !isName(word));
  if (unknown.length > 0) throw new Error(`No bench is called ${unknown.join(', ')}. There are ${Object.keys(benches).join(', ')}.`);
  const chosen = names.filter(isName);
  const results: Record<string, unknown> = {};
  for (const name of chosen.length > 0 ? chosen : (Object.keys(benches) as Name[])) {
    if (!asJson) process.stdout.write(`${name} ...\n`);
    const result = await benches[name]();
    results[name] = result;
    if (!asJson) for (const [figure, value] of Object.entries(result)) process.stdout.write(`  ${figure.padEnd(34)} ${shown(value)}\n`);
  }
  if (asJson) process.stdout.write(`${JSON.stringify(results)}\n`);
}

function shown(value: unknown): string {
  if (typeof value === 'number') return Number.isInteger(value) ? String(value) : value.toPrecision(4);
  return JSON.stringify(value);
}

main(process.argv.slice(2)).catch((error: unknown) => {
  process.stderr.write(`${error instanceof Error ? (error.stack ?? error.message) : String(error)}\n`);
  process.exitCode = 1;
});
