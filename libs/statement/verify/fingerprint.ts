/** Fingerprints of certificates, as people read and type them. */

/** A fingerprint in pairs, as it is given in print: `1F 4E 5F ...`. */
export function readableFingerprint(hex: string): string {
  return (hex.toUpperCase().match(/../g) ?? []).join(' ');
}

/** Whether what somebody typed or pasted is this fingerprint; undefined while it is none at all. */
export function isFingerprint(typed: string, hex: string): boolean | undefined {
  const digits = typed.replace(/[\s:.-]/g, '').toLowerCase();
  return /^[0-9a-f]{64}$/.test(digits) ? digits === hex : undefined;
}
