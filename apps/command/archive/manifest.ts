import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { z } from 'zod';
import { CommandFailure } from '../failure';

/**
 * A backup is a directory: this description, and one compressed file per table in PostgreSQL's COPY text format, rows in
 * the order of the primary key. Every digest is that of the uncompressed text, so that the same rows give the same
 * digest whichever server they come from.
 */
const manifestSchema = z.strictObject({
  format: z.literal('latchledger backup'),
  version: z.literal(1),
  createdAt: z.iso.datetime(),
  serverVersion: z.string(),
  /** Migrations that the tables had, in order. A restore brings an empty database to the same point first. */
  migrations: z.array(z.strictObject({ name: z.string(), checksum: z.string() })).min(1),
  /** Which master keys the operators' data keys are wrapped under. The keys themselves are in no backup. */
  masterKeyIds: z.array(z.string()),
  tables: z.array(
    z.strictObject({
      schema: z.string(),
      name: z.string(),
      columns: z.array(z.string()).min(1),
      file: z.string().regex(/^[a-z0-9_]+\.[a-z0-9_]+\.copy\.gz$/),
      rowCount: z.int().nonnegative(),
      /** SHA-256, hex. */
      digest: z.string().regex(/^[0-9a-f]{64}$/),
    }),
  ),
  sequences: z.array(z.strictObject({ schema: z.string(), name: z.string(), lastValue: z.string().nullable() })),
});

export type Manifest = z.infer<typeof manifestSchema>;
export type DumpedTable = Manifest['tables'][number];

export const MANIFEST_FILE = 'manifest.json';

export function readManifest(directory: string): Manifest {
  let text: string;
  try {
    text = readFileSync(join(directory, MANIFEST_FILE), 'utf8');
  } catch {
    throw new CommandFailure(`${directory} is no backup: it has no ${MANIFEST_FILE}.`);
  }
  const parsed = manifestSchema.safeParse(parseJson(text));
  if (parsed.success) return parsed.data;
  throw new CommandFailure(`${join(directory, MANIFEST_FILE)} is damaged, or of a newer version of this program:\n${z.prettifyError(parsed.error)}`);
}

function parseJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}
