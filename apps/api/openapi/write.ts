import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import 'reflect-metadata';
import { controllers } from '../controllers';
import { openApiDocument } from './document';

/** `npm run openapi`: rewrites the committed document. Its difference is the change of the API, for whoever reviews it. */
writeFileSync(join(__dirname, '..', 'openapi.json'), `${JSON.stringify(openApiDocument(controllers), null, 2)}\n`);
