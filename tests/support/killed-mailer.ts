/**
 * A worker that is killed while it mails statements: writes each as a file, and ends itself outright after a number of steps, of
 * which each mail has two, just before it goes out and just after.
 * Arguments: connection string of the role app, folder of the mails, number of steps. Exit status 0 means that there were fewer.
 */
import { randomUUID } from 'node:crypto';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { mailStatements } from '#backoffice/statement-mail/mail-statements';
import { closeDatabase, createDatabase } from '#database/tenant';

async function main(appUrl: string, folder: string, steps: number): Promise<void> {
  const database = createDatabase({ appUrl, poolSize: 2, applicationName: 'killed mailer' });
  let left = steps;
  const step = (): void => {
    left -= 1;
    // No handler runs and nothing is flushed, as when the power fails.
    if (left === 0) process.kill(process.pid, 'SIGKILL');
  };
  const clock = { now: () => new Date('2025-11-05T12:00:00Z') };
  await mailStatements({ database, clock }, {
    send: async ({ subject }) => {
      step();
      writeFileSync(join(folder, randomUUID()), subject);
      step();
      return 'sent';
    },
    onTrouble: (error) => {
      throw error;
    },
  });
  await closeDatabase(database);
}

const [appUrl, folder, steps] = process.argv.slice(2);
if (appUrl === undefined || folder === undefined || steps === undefined) throw new Error('killed-mailer <app url> <folder> <steps>');
void main(appUrl, folder, Number(steps));
