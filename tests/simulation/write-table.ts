/** Writes the table of libs/domain/variance/README.md anew: node -C src -r @swc-node/register tests/simulation/write-table.ts */
import { readFileSync, writeFileSync } from 'node:fs';
import { simulateYear, tableOf, wholeFleet } from './skimming';

const path = 'libs/domain/variance/README.md';
const lines = readFileSync(path, 'utf8').split('\n');
const first = lines.findIndex((line) => line.startsWith('| skimmed'));
const last = lines.findLastIndex((line) => line.startsWith('|'));
lines.splice(first, last - first + 1, ...tableOf(simulateYear(wholeFleet)));
writeFileSync(path, lines.join('\n'));
