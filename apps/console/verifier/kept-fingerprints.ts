/**
 * The fingerprints that a receiver keeps in their browser: one for each certificate, as an operator changes it after some
 * years and older statements stay signed with the one before. Where a browser keeps nothing for a file on a disk, they are
 * asked for again.
 */
const KEY = 'latchledger-verifier-fingerprint';

export function keptFingerprints(): readonly string[] {
  try {
    return (localStorage.getItem(KEY) ?? '').split(' ').filter((hex) => /^[0-9a-f]{64}$/.test(hex));
  } catch {
    return [];
  }
}

/** Those that are kept now, which may be the same as before. */
export function keepFingerprints(hexes: readonly string[]): readonly string[] {
  try {
    localStorage.setItem(KEY, hexes.join(' '));
  } catch {
    // Nothing is kept, as the list that is read again says.
  }
  return keptFingerprints();
}
