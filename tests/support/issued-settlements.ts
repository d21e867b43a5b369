/** Where issued settlements are kept that must compute again to the same bytes for ever. */
import { join } from 'node:path';

export const issuedFolder = join(__dirname, '..', 'published', 'issued');
