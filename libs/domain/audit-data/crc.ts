/**
 * The checksum of a transmission: CRC-16 with the polynomial x^16 + x^15 + x^2 + 1, bits of a byte from the lowest on,
 * beginning with zero (known as CRC-16/ARC; its check value over the digits 1 to 9 is BB3D).
 */
export function crc16(bytes: Uint8Array): number {
  let crc = 0;
  for (const byte of bytes) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit += 1) crc = (crc & 1) === 1 ? (crc >>> 1) ^ 0xa001 : crc >>> 1;
  }
  return crc;
}
