/** Sealed bags between the site and the counting room: which are missing, and which did not keep their seal. */
export interface BagFacts {
  readonly bagId: string;
  /** Seal that was put on at the site. */
  readonly sealPut: string;
  /** Seal that was found; null while that has not happened. */
  readonly sealReceived: string | null;
  readonly sealOpened: string | null;
}

/** What is wrong with a bag, by how far it got. A bag that is only on its way is `not-received`. */
export type BagFinding = 'not-received' | 'other-seal-when-received' | 'not-opened' | 'other-seal-when-opened';

/** The first thing that is wrong with a bag, as what comes after it follows from it; null where all is well. */
export function bagFinding({ sealPut, sealReceived, sealOpened }: BagFacts): BagFinding | null {
  if (sealReceived === null) return 'not-received';
  if (sealReceived !== sealPut) return 'other-seal-when-received';
  if (sealOpened === null) return 'not-opened';
  return sealOpened === sealPut ? null : 'other-seal-when-opened';
}

/** Who has to answer for what a bag lacks: up to its receipt who collected, from then on until it is opened the counting room. */
export function bagHolder(finding: BagFinding | null): 'collector' | 'counting-room' {
  return finding === 'not-opened' || finding === 'other-seal-when-opened' ? 'counting-room' : 'collector';
}
