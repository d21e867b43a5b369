// npm run catalogue: writes prisma/catalogue.json anew from the migrations, to be read and committed with them.
import { writeFileSync } from 'node:fs';
import { printCatalogue, readCatalogue } from '#database/catalogue';
import { CATALOGUE_FILE } from './catalogue-file';
import { onConnection } from './connection';
import { withMigratedServer } from './migrated-server';

void withMigratedServer(async ({ urls }) => {
  writeFileSync(CATALOGUE_FILE, printCatalogue(await onConnection(urls.owner, readCatalogue)));
  process.stdout.write(`${CATALOGUE_FILE} is written. Read what git diff says before you commit it.\n`);
}).catch((error: unknown) => {
  process.stderr.write(`${error instanceof Error ? error.stack : String(error)}\n`);
  process.exitCode = 1;
});
