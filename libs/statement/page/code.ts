/** The code that opens the page on which a statement is checked (QR code, ISO/IEC 18004), as squares of the page. */
import qrcode from 'qrcode-generator';
import type { Box } from '#statement/page/pen';

/** Light modules that readers want around it (ISO/IEC 18004, 6.3.8). Common practice for print. */
export const QUIET_ZONE = 4;

/** As many modules as fit one beside another, with the quiet zone on both sides. */
export interface Code {
  readonly modules: number;
  /** Dark runs of a row, in modules from the top left corner, quiet zone included. */
  readonly runs: readonly Box[];
}

/** Level M: an eighth of it may be smeared. */
export function codeOf(address: string): Code {
  const code = qrcode(0, 'M');
  code.addData(address, 'Byte');
  code.make();
  const size = code.getModuleCount();
  const runs: Box[] = [];
  for (let row = 0; row < size; row += 1) {
    for (let column = 0; column < size; column += 1) {
      if (!code.isDark(row, column)) continue;
      const start = column;
      while (column + 1 < size && code.isDark(row, column + 1)) column += 1;
      runs.push({ x: QUIET_ZONE + start, y: QUIET_ZONE + row, width: column - start + 1, height: 1 });
    }
  }
  return { modules: size + 2 * QUIET_ZONE, runs };
}
