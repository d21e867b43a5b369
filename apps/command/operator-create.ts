import { parseArgs } from 'node:util';
import type { Backoffice } from '#backoffice/dependencies';
import { createOperator } from '#backoffice/operator/create';
import { createOperatorSchema, type CreateOperator } from '#contracts/operator';
import { problems } from '#contracts/problem';
import { closeDatabase, createDatabase } from '#database/tenant';
import { systemClock } from '#runtime/clock';
import { readCommandConfiguration } from '#runtime/configuration';
import { CONNECTION_BUDGET } from '#runtime/connection-budget';
import { newId } from '#runtime/ids';
import { configurationOrExit } from '#runtime/lifecycle';
import { openDatabases } from './databases';
import { CommandFailure, runCommand, say } from './failure';

const USAGE = `npm run operator:create -- --code <code> --name <name> --country <US> --currency <USD> --time-zone <America/Chicago> --email <owner's address> [--locale <en-US>]`;

/** Reads the command line; a message per wrong value, none of them leaves anything behind. */
export function readOperatorCommand(words: readonly string[]): CreateOperator {
  const { values } = parseWords(words);
  const { 'time-zone': timeZone, ...rest } = values;
  const parsed = createOperatorSchema.safeParse({ ...rest, ...(timeZone === undefined ? {} : { timeZone }) });
  if (parsed.success) return parsed.data;
  const messages = parsed.error.issues.map(({ path, message }) => {
    const option = path.join('.') === 'timeZone' ? 'time-zone' : path.join('.');
    return option in values ? `  --${option} ${String(values[option as keyof typeof values])}: ${message}` : `  --${option} is missing`;
  });
  throw new CommandFailure(`${messages.join('\n')}\n\n${USAGE}`);
}

function parseWords(words: readonly string[]) {
  const text = { type: 'string' } as const;
  try {
    return parseArgs({
      args: [...words],
      options: { code: text, name: text, country: text, currency: text, 'time-zone': text, locale: text, email: text },
    });
  } catch (error) {
    throw new CommandFailure(`${error instanceof Error ? error.message : String(error)}\n\n${USAGE}`);
  }
}

/** `npm run operator:create`: makes an operator and prints the link with which its first owner comes in. */
async function main(): Promise<void> {
  const command = readOperatorCommand(process.argv.slice(2));
  const configuration = configurationOrExit(readCommandConfiguration(process.env));
  const databases = await openDatabases(configuration);
  try {
    await databases.migrate();
    const database = createDatabase({ appUrl: databases.urlFor('app'), poolSize: CONNECTION_BUDGET.command, applicationName: 'latchledger operator:create' });
    try {
      await create({ database, clock: systemClock, newId, publicUrl: configuration.publicUrl }, command);
    } finally {
      await closeDatabase(database);
    }
  } finally {
    await databases.close();
  }
}

async function create(deps: Omit<Backoffice, 'accountSecrets' | 'operatorSecrets'>, command: CreateOperator): Promise<void> {
  const created = await createOperator(deps, command);
  if (!created.ok) throw new CommandFailure(created.failure.detail ?? problems[created.failure.code].title);
  const { operator, invitation } = created.value;
  say(`Operator ${operator.name} (${operator.code}) was made.`);
  say(`${invitation.email} becomes its owner with this link, which serves once, until ${invitation.expiresAt}:`);
  say('');
  say(`  ${invitation.address ?? ''}`);
}

if (require.main === module) runCommand(main, USAGE);
