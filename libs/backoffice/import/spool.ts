import { createHash, randomUUID } from 'node:crypto';
import { createReadStream, createWriteStream } from 'node:fs';
import { rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pipeline } from 'node:stream/promises';

/** An upload that has arrived whole. */
export type Spooled = {
  readonly byteSize: number;
  readonly sha256: Buffer;
  readonly open: () => AsyncIterable<Uint8Array>;
};

/**
 * Writes an upload to a file of its own before anything reads it: a slow network must not hold a transaction open, and the
 * digest has to be known before the first line is believed. The file is gone afterwards, whatever happens.
 */
export async function spooled<Value>(bytes: AsyncIterable<Uint8Array>, use: (file: Spooled) => Promise<Value>): Promise<Value> {
  const path = join(tmpdir(), `latchledger-upload-${randomUUID()}`);
  const digest = createHash('sha256');
  let byteSize = 0;
  try {
    await pipeline(
      bytes,
      async function* (source: AsyncIterable<Uint8Array>) {
        for await (const chunk of source) {
          digest.update(chunk);
          byteSize += chunk.length;
          yield chunk;
        }
      },
      createWriteStream(path, { flags: 'wx', mode: 0o600 }),
    );
    return await use({ byteSize, sha256: digest.digest(), open: () => createReadStream(path) });
  } finally {
    await rm(path, { force: true });
  }
}
