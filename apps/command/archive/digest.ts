import { createHash } from 'node:crypto';
import { Transform } from 'node:stream';

/** Passes a stream on unchanged and tells the SHA-256 of what went through once it has ended. */
export function digesting(): { stream: Transform; digest: () => string } {
  const hash = createHash('sha256');
  const stream = new Transform({
    transform(chunk: Buffer, _encoding, passOn) {
      hash.update(chunk);
      passOn(null, chunk);
    },
  });
  return { stream, digest: () => hash.digest('hex') };
}
