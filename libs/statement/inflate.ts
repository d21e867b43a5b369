/** Compressed streams read back, in Node and in the browser. */
import { concatBytes } from '@noble/hashes/utils';

/** What is in a stream of zlib (RFC 1950), or undefined where it is none or holds more than that many bytes: a small one may hold gigabytes. */
export async function inflatedUpTo(bytes: Uint8Array, atMost: number): Promise<Uint8Array | undefined> {
  const chunks: Uint8Array[] = [];
  let length = 0;
  try {
    const plain: ReadableStream<Uint8Array> = new Blob([new Uint8Array(bytes)]).stream().pipeThrough(new DecompressionStream('deflate'));
    const reader = plain.getReader();
    for (let next = await reader.read(); !next.done; next = await reader.read()) {
      chunks.push(next.value);
      length += next.value.length;
      if (length > atMost) {
        await reader.cancel();
        return undefined;
      }
    }
  } catch {
    return undefined;
  }
  return concatBytes(...chunks);
}
