import { clientFor } from './client';
import { collectionsApi } from './collections-api';
import { custodyApi } from './custody-api';
import { importsApi } from './imports-api';
import { keyCasesApi } from './key-cases-api';
import { keyInventoriesApi } from './key-inventories-api';
import { keySetUpApi } from './key-set-up-api';
import { keysApi } from './keys-api';
import { membersApi } from './members-api';
import { monthEndApi } from './month-end-api';
import { paymentsApi } from './payments-api';
import { policyApi } from './policy-api';
import { settlementsApi } from './settlements-api';
import { sitesApi } from './sites-api';
import { taxApi } from './tax-api';

/** What the console asks of the api for one operator. */
export function createOperatorApi(operatorId: string) {
  const base = clientFor(operatorId);
  return { ...collectionsApi(base), ...custodyApi(base), ...importsApi(base), ...keysApi(base), ...keyCasesApi(base), ...keyInventoriesApi(base), ...keySetUpApi(base), ...membersApi(base), ...monthEndApi(base), ...policyApi(base), ...paymentsApi(base), ...settlementsApi(base), ...sitesApi(base), ...taxApi(base) };
}
export type OperatorApi = ReturnType<typeof createOperatorApi>;
