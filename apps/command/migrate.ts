import { readCommandConfiguration } from '#runtime/configuration';
import { configurationOrExit } from '#runtime/lifecycle';
import { openDatabases } from './databases';
import { runCommand, say } from './failure';

/** `npm run migrate`: brings the tables up to date, once, before new versions of api and worker start. */
runCommand(async () => {
  const databases = await openDatabases(configurationOrExit(readCommandConfiguration(process.env)), { setsUp: true });
  try {
    const { applied, presentBefore } = await databases.migrate();
    for (const name of applied) say(`applied ${name}`);
    say(`The database is up to date: ${presentBefore + applied.length} migrations.`);
  } finally {
    await databases.close();
  }
}, 'npm run migrate\n\nBrings the tables of DATABASE_URL, or of the embedded database, up to date.');
