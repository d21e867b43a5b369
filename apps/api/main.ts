import { closeDatabase, createDatabase, pingDatabase } from '#database/tenant';
import { systemClock } from '#runtime/clock';
import { readApiConfiguration, type ApiConfiguration } from '#runtime/configuration';
import { newId } from '#runtime/ids';
import { createLogger } from '#runtime/logging';
import { readMasterKeyFile, type MasterKeys } from '#runtime/master-key-file';
import { createMetrics } from '#runtime/metrics';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { accountSecretsUnder } from './account-secrets';
import { createApplication } from './application';

/** Longer than any request takes; then whoever still waits is let down rather than the restart. */
const CLOSING_MS = 15_000;

/**
 * The HTTP process. Its settings come from the environment. It ends when it is told to, and when the process that started it
 * with a channel goes away: a server left alone would hold its port against the next start.
 */
async function main(): Promise<void> {
  const read = readApiConfiguration(process.env);
  if (!read.ok) return refuseToStart(read.problems.map(({ variable, message }) => `${variable} ${message}`));
  const configuration = read.value;
  const keyFile = readMasterKeyFile(configuration.masterKeyFile);
  if (!keyFile.ok) return refuseToStart([keyFile.message]);
  const close = await start(configuration, keyFile.keys);
  process.send?.({ kind: 'ready' });
  let closing: Promise<void> | undefined;
  const leave = (): void => {
    closing ??= Promise.race([close(), pause(CLOSING_MS)]).then(() => process.exit(0));
  };
  process.on('SIGTERM', leave).on('SIGINT', leave).on('disconnect', leave);
}

async function start(configuration: ApiConfiguration, masterKeys: MasterKeys): Promise<() => Promise<void>> {
  const logger = createLogger({ name: 'api', level: configuration.logLevel });
  const database = createDatabase({
    appUrl: configuration.databaseUrl,
    poolSize: configuration.databasePoolSize,
    applicationName: 'latchledger api',
    onConnectionLost: (err) => logger.warn({ err }, 'database connection lost'),
    onRetry: (retry) => logger.info(retry, 'transaction retried'),
  });
  const application = await createApplication({
    backoffice: {
      database,
      clock: systemClock,
      newId,
      accountSecrets: accountSecretsUnder(masterKeys),
      publicUrl: configuration.publicUrl,
    },
    logger,
    publicOrigin: new URL(configuration.publicUrl).origin,
    trustedProxies: configuration.trustedProxies,
    consoleDirectory: builtConsole(),
    metrics: createMetrics({ name: 'api' }),
    metricsToken: configuration.metricsToken ?? null,
    isReady: () =>
      pingDatabase(database).then(
        () => true,
        (err: unknown) => {
          logger.warn({ err }, 'database does not answer');
          return false;
        },
      ),
    requestsPerMinute: configuration.requestsPerMinute,
    guessesPerMinute: configuration.guessesPerMinute,
  });
  await application.listen(configuration.port, configuration.host);
  logger.info({ host: configuration.host, port: configuration.port }, 'listening');
  return async () => {
    await application.close();
    await closeDatabase(database);
    logger.info('closed');
  };
}

/** Beside the built program, or where the build puts it when the sources run. */
function builtConsole(): string | null {
  const places = [join(__dirname, '..', 'console'), join(__dirname, '..', '..', 'dist', 'apps', 'console')];
  return places.find((place) => existsSync(join(place, 'index.html')) && existsSync(join(place, 'assets'))) ?? null;
}

function refuseToStart(messages: readonly string[]): void {
  process.stderr.write(`The api cannot start:\n${messages.map((message) => `  ${message}\n`).join('')}`);
  process.exitCode = 1;
}

void main().catch((error: unknown) => {
  process.stderr.write(`The api cannot start: ${error instanceof Error ? error.message : String(error)}\n`);
  process.exit(1);
});
