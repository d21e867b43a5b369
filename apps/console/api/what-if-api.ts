import * as sdk from '../generated';
import type { RunWhatIfData } from '../generated';
import type { Base } from './client';

/** Past periods under terms that are only proposed. */
export function whatIfApi(base: Base) {
  return {
    whatIf: async (body: RunWhatIfData['body'], signal: AbortSignal) => (await sdk.runWhatIf({ ...base, signal, body })).data,
  };
}
