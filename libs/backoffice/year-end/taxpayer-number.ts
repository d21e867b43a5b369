import { formatInstant } from '#contracts/format';
import { done, refusedFields, type Outcome } from '#contracts/outcome';
import type { RecordTaxpayerNumber, TaxpayerNumber } from '#contracts/year-end';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import { dataKeyInUse } from '../certificate/signer';
import { readDataKeys } from '../certificate/signing.sql';
import type { Backoffice } from '../dependencies';
import { selectParty } from '../party/party.sql';
import { perform } from '../perform';
import { taken } from '../refusal';
import { insertTaxpayerNumber } from './year-end.sql';

/** What numbers are sealed for: a sealed value does not open for anything else. */
const PURPOSE = 'taxpayer number';

/** Takes down the number under which the tax authority knows a payee. The ones before it stay on record. */
export function recordTaxpayerNumber(deps: Backoffice, caller: Caller, command: RecordTaxpayerNumber): Promise<Outcome<TaxpayerNumber>> {
  return perform<TaxpayerNumber>(
    deps,
    caller,
    'taxpayer-number.record',
    async ({ tx, now }) => {
      const { partyId, number } = command;
      if ((await selectParty(tx, partyId)) === null) return refusedFields('invalid-command', [{ path: ['partyId'], code: 'unknown', message: 'There is no party with this id.' }]);
      const dataKey = await dataKeyInUse(deps, tx);
      const sealedNumber = deps.operatorSecrets.seal({ plaintext: Buffer.from(number, 'utf8'), tenantId: tx.tenantId, purpose: PURPOSE, dataKey });
      const [id, ending] = [command.id ?? deps.newId(), endingOf(number)];
      await insertTaxpayerNumber(tx, { id, partyId, sealedNumber, dataKeyId: dataKey.id, ending, now });
      return done({ id, partyId, ending, recordedAt: formatInstant(now), recordedBy: tx.actor });
    },
    { constraints: { taxpayer_number_pkey: taken(['id'], 'a taxpayer number with this id') } },
  );
}

export async function numberOpener(deps: Pick<Backoffice, 'operatorSecrets'>, tx: TenantTransaction): Promise<(sealed: Buffer) => string> {
  const dataKeys = await readDataKeys(tx);
  return (sealed) => deps.operatorSecrets.open({ tenantId: tx.tenantId, purpose: PURPOSE, sealed, dataKeys }).toString('utf8');
}

/** At most four characters, and never more than half of the number. */
function endingOf(number: string): string {
  const plain = number.replaceAll('-', '');
  return plain.slice(-Math.min(4, Math.floor(plain.length / 2)));
}
