import { closeDatabase, createDatabase, pingDatabase } from '#database/tenant';
import { systemClock } from '#runtime/clock';
import { readApiConfiguration, type ApiConfiguration } from '#runtime/configuration';
import { newId } from '#runtime/ids';
import { keyedDigestsUnder } from '#runtime/keyed-digest';
import { CONFIGURATION_EXIT_STATUS, configurationOrExit, runProcess, type Running } from '#runtime/lifecycle';
import { createLogger, type Logger } from '#runtime/logging';
import { readMasterKeyFile, type MasterKeys } from '#runtime/master-key-file';
import { createMetrics, withProcess } from '#runtime/metrics';
import { outgoing } from '#runtime/outgoing-post';
import { operatorSecretsUnder } from '#runtime/operator-secrets';
import { signingCommand } from '#runtime/signing-command';
import { timestampAuthority } from '#runtime/timestamp-authority';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { accountSecretsUnder } from './account-secrets';
import { createApplication } from './application';

/** A machine that reports every few seconds says nothing more than one that does so twice a minute. */
const REPORTS_PER_MINUTE = 30;

async function start(given: { configuration: ApiConfiguration; masterKeys: MasterKeys; logger: Logger }): Promise<Running> {
  const { configuration, masterKeys, logger } = given;
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
      operatorSecrets: operatorSecretsUnder(masterKeys),
      signElsewhere: configuration.signingCommand === undefined ? undefined : signingCommand(configuration.signingCommand),
      timestampAuthority: timestampAuthority(configuration.timestampAuthority),
      publicUrl: configuration.publicUrl,
    },
    logger,
    digestsOf: keyedDigestsUnder(masterKeys),
    publicOrigin: new URL(configuration.publicUrl).origin,
    trustedProxies: configuration.trustedProxies,
    consoleDirectory: builtConsole(),
    metrics: withProcess(createMetrics({ name: 'api' })),
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
    costlyPerMinute: configuration.costlyPerMinute,
    whyUnreachable: outgoing({ allowed: configuration.webhookNetworks }).whyUnreachable,
    reportsPerMinute: REPORTS_PER_MINUTE,
  });
  await application.listen(configuration.port, configuration.host);
  return {
    close: async () => {
      await application.close();
      await closeDatabase(database);
    },
  };
}

/** Beside the built program, or where the build puts it when the sources run. */
function builtConsole(): string | null {
  const places = [join(__dirname, '..', 'console'), join(__dirname, '..', '..', 'dist', 'apps', 'console')];
  return places.find((place) => existsSync(join(place, 'index.html')) && existsSync(join(place, 'assets'))) ?? null;
}

/** The HTTP process. Its settings come from the environment. */
const configuration = configurationOrExit(readApiConfiguration(process.env));
const keyFile = readMasterKeyFile(configuration.masterKeyFile);
if (keyFile.ok) {
  const logger = createLogger({ name: 'api', level: configuration.logLevel });
  runProcess({ logger, start: () => start({ configuration, masterKeys: keyFile.keys, logger }) });
} else {
  process.stderr.write(`MASTER_KEY_FILE: ${keyFile.message}\n`);
  process.exitCode = CONFIGURATION_EXIT_STATUS;
}
