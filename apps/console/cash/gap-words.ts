import { words } from '../words/words';

/** Who had the cash last, as a sentence names them. */
export function holderOf({ holder, collectorName }: { readonly holder: 'collector' | 'counting-room'; readonly collectorName: string }): string {
  return words.cash.holder[holder](collectorName);
}
