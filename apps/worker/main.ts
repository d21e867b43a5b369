import { randomBytes } from 'node:crypto';
import type { StatementDeps } from '#backoffice/statement/issue';
import { createRelay } from '#database/relay';
import { closeDatabase, createDatabase, pingDatabase } from '#database/tenant';
import { systemClock } from '#runtime/clock';
import { readWorkerConfiguration, type WorkerConfiguration } from '#runtime/configuration';
import { newId } from '#runtime/ids';
import { CONFIGURATION_EXIT_STATUS, configurationOrExit, runProcess, type Running } from '#runtime/lifecycle';
import { createLogger, type Logger } from '#runtime/logging';
import { readMasterKeyFile, type MasterKeys } from '#runtime/master-key-file';
import { mailSender } from '#runtime/mail';
import { timestampAuthority } from '#runtime/timestamp-authority';
import { createMetrics, withProcess } from '#runtime/metrics';
import { outgoing } from '#runtime/outgoing-post';
import { startOutboxRelay } from '#runtime/outbox-relay';
import { connectQueue } from '#runtime/queue';
import { startHealthServer } from './health-server';
import { startHousekeeping } from './housekeeping';
import { keepHeapSmall } from './memory';
import { operatorSecretsUnder } from '#runtime/operator-secrets';
import { signingCommand } from '#runtime/signing-command';
import { startQueues } from './queues';
import { startWebhooks } from './webhooks';

type Given = { readonly configuration: WorkerConfiguration; readonly masterKeys: MasterKeys; readonly logger: Logger };

/** Starts from what waits to what works: when the relay begins, whatever it hands over is taken. Closes the other way round. */
async function start({ configuration, masterKeys, logger }: Given): Promise<Running> {
  const metrics = withProcess(createMetrics({ name: 'worker' }));
  const database = createDatabase({
    appUrl: configuration.databaseUrl,
    poolSize: configuration.databasePoolSize,
    applicationName: 'latchledger worker',
    onConnectionLost: (err) => logger.warn({ err }, 'database connection lost'),
    onRetry: (retry) => logger.info(retry, 'transaction retried'),
  });
  const deps: StatementDeps = {
    database,
    clock: systemClock,
    newId,
    randomBytes,
    operatorSecrets: operatorSecretsUnder(masterKeys),
    signElsewhere: configuration.signingCommand === undefined ? undefined : signingCommand(configuration.signingCommand),
    timestampAuthority: timestampAuthority(configuration.timestampAuthority),
    onBug: ({ error: err, settlementOf }) => logger.error({ err, settlementOf }, 'one settlement failed'),
  };
  const { redisUrl, databaseUrl } = configuration;
  const connection = await connectQueue(redisUrl === undefined ? { kind: 'postgres', url: databaseUrl } : { kind: 'redis', url: redisUrl });
  const queues = startQueues({ connection, deps, metrics, logger });
  const webhooks = startWebhooks({
    ...deps,
    publicUrl: configuration.publicUrl,
    post: outgoing({ allowed: configuration.webhookNetworks }).post,
    onTrouble: (err) => logger.error({ err }, 'webhooks failed'),
  });
  const relay = startOutboxRelay({
    source: createRelay({ relayUrl: configuration.relayDatabaseUrl, onConnectionLost: (err) => logger.warn({ err }, 'relay connection lost') }),
    publish: queues.publish,
    onRelayed: (wakeUps) => {
      wakeUps.forEach(({ topic }) => metrics.outboxRelayed.inc({ topic }));
      webhooks.wake(wakeUps);
    },
    onTrouble: (err) => logger.warn({ err }, 'relay waits'),
  });
  const housekeeping = startHousekeeping({
    deps,
    webhooks,
    publicUrl: configuration.publicUrl,
    sendMail: mailSender(configuration.mail),
    onTrouble: (err) => logger.error({ err }, 'housekeeping failed'),
  });
  const isReady = (): Promise<boolean> =>
    pingDatabase(database).then(
      () => true,
      () => false,
    );
  const health = await startHealthServer({ host: configuration.host, port: configuration.port, metrics, beforeMetrics: queues.count, isReady });
  return {
    close: async () => {
      await health.close();
      await relay.close();
      await housekeeping.close();
      await webhooks.close();
      await connection.close();
      await closeDatabase(database);
    },
  };
}

/** The background process. Its settings come from the environment. */
keepHeapSmall();
const configuration = configurationOrExit(readWorkerConfiguration(process.env));
const keyFile = readMasterKeyFile(configuration.masterKeyFile);
if (keyFile.ok) {
  const logger = createLogger({ name: 'worker', level: configuration.logLevel });
  runProcess({ logger, start: () => start({ configuration, masterKeys: keyFile.keys, logger }) });
} else {
  process.stderr.write(`MASTER_KEY_FILE: ${keyFile.message}\n`);
  process.exitCode = CONFIGURATION_EXIT_STATUS;
}
