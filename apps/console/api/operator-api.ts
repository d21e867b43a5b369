import { agreementsApi } from './agreements-api';
import { auditFilesApi } from './audit-files-api';
import { breakInsApi } from './break-ins-api';
import { cardTakingsApi } from './card-takings-api';
import { cashApi } from './cash-api';
import { clientFor } from './client';
import { collectionsApi } from './collections-api';
import { custodyApi } from './custody-api';
import { earningsApi } from './earnings-api';
import { evidenceApi } from './evidence-api';
import { importsApi } from './imports-api';
import { journalApi } from './journal-api';
import { keyCasesApi } from './key-cases-api';
import { keyInventoriesApi } from './key-inventories-api';
import { keySetUpApi } from './key-set-up-api';
import { keysApi } from './keys-api';
import { machineReportsApi } from './machine-reports-api';
import { membersApi } from './members-api';
import { moneyOutApi } from './money-out-api';
import { monthEndApi } from './month-end-api';
import { paymentsApi } from './payments-api';
import { policyApi } from './policy-api';
import { refundClaimsApi } from './refund-claims-api';
import { retentionApi } from './retention-api';
import { roundsApi } from './rounds-api';
import { searchApi } from './search-api';
import { machinesApi, placesApi } from './set-up-api';
import { settlementsApi } from './settlements-api';
import { sitesApi } from './sites-api';
import { taxApi } from './tax-api';
import { variancesApi } from './variances-api';
import { webhooksApi } from './webhooks-api';
import { whatIfApi } from './what-if-api';

/** What the console asks of the api for one operator. */
export function createOperatorApi(operatorId: string) {
  const base = clientFor(operatorId);
  return { ...agreementsApi(base), ...auditFilesApi(base), ...breakInsApi(base), ...cardTakingsApi(base), ...cashApi(base), ...collectionsApi(base), ...custodyApi(base), ...earningsApi(base), ...evidenceApi(base), ...importsApi(base), ...journalApi(base), ...keyCasesApi(base), ...keyInventoriesApi(base), ...keySetUpApi(base), ...keysApi(base), ...machineReportsApi(base), ...machinesApi(base), ...membersApi(base), ...moneyOutApi(base), ...monthEndApi(base), ...paymentsApi(base), ...placesApi(base), ...policyApi(base), ...retentionApi(base), ...refundClaimsApi(base), ...roundsApi(base), ...searchApi(base), ...settlementsApi(base), ...sitesApi(base), ...taxApi(base), ...variancesApi(base), ...webhooksApi(base), ...whatIfApi(base) };
}
export type OperatorApi = ReturnType<typeof createOperatorApi>;
