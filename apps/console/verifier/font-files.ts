/** The files of the statement's two fonts within the page itself: stands in for the file system that Node reads them from. */
import bold from '../../../node_modules/dejavu-fonts-ttf/ttf/DejaVuSansCondensed-Bold.ttf?inline';
import regular from '../../../node_modules/dejavu-fonts-ttf/ttf/DejaVuSansCondensed.ttf?inline';

export function fontFiles(): { regular: Uint8Array; bold: Uint8Array } {
  return { regular: bytesOf(regular), bold: bytesOf(bold) };
}

function bytesOf(dataUrl: string): Uint8Array {
  const text = atob(dataUrl.slice(dataUrl.indexOf(',') + 1));
  const bytes = new Uint8Array(text.length);
  for (let index = 0; index < text.length; index += 1) bytes[index] = text.charCodeAt(index);
  return bytes;
}
