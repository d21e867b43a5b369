import { join } from 'node:path';

/** The committed manifest of rights and rules in the database. */
export const CATALOGUE_FILE = join(__dirname, '..', '..', 'prisma', 'catalogue.json');
