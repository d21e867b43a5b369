/** The files of the two fonts, as Node finds them. Where there is no file system, the verifier's build puts its own in this place. */
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';

export interface FontFiles {
  readonly regular: Uint8Array;
  readonly bold: Uint8Array;
}

export function fontFiles(): FontFiles {
  return { regular: read('DejaVuSansCondensed.ttf'), bold: read('DejaVuSansCondensed-Bold.ttf') };
}

function read(fileName: string): Uint8Array {
  return readFileSync(join(dirname(require.resolve('dejavu-fonts-ttf/package.json')), 'ttf', fileName));
}
