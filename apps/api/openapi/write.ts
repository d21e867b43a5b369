import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import 'reflect-metadata';
import { ATTACHMENT_SCHEMA_NAME, attachmentJsonSchema } from '#contracts/statement-attachment-schema';
import { controllers } from '../controllers';
import { openApiDocument } from './document';

/** `npm run openapi`: rewrites the committed documents. Their difference is the change of what others see, for whoever reviews it. */
const written = (value: object): string => `${JSON.stringify(value, null, 2)}\n`;
writeFileSync(join(__dirname, '..', 'openapi.json'), written(openApiDocument(controllers)));
writeFileSync(join(__dirname, '..', '..', '..', 'libs', 'contracts', ATTACHMENT_SCHEMA_NAME), written(attachmentJsonSchema()));
