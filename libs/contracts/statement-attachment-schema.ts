/** The published description of what is attached to a statement, for programs of others. */
import { z } from 'zod';
import { statementAttachmentSchema } from './statement-attachment';

/** The committed file, beside this one; `/${name}` on a running server. */
export const ATTACHMENT_SCHEMA_NAME = 'statement-attachment.schema.json';

/** As JSON Schema 2020-12, of the JSON as it lies in the file. */
export function attachmentJsonSchema(): object {
  const { $schema, ...schema } = z.toJSONSchema(statementAttachmentSchema, { io: 'input', target: 'draft-2020-12', reused: 'ref' });
  return {
    $schema,
    title: 'Attachment of a settlement statement',
    description:
      'statement.json in the PDF: all that a statement was computed from and set with, as canonical JSON (RFC 8785). Amounts are whole minor units of the currency as text, days are local days, percentages are decimal text.',
    ...schema,
  };
}
