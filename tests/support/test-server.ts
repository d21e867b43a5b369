import type { RolePasswords } from '#database/roles';

/** How to reach the PostgreSQL server of this test run. */
export type TestServer = { readonly superuserUrl: string; readonly passwords: RolePasswords };

/** Every migration applied, no rows: what a test database is copied from. */
export const TEMPLATE_NAME = 'latchledger_template';

/** Where the address of the run's broker is found (see global-setup). */
export const BROKER_VARIABLE = 'LATCHLEDGER_TEST_BROKER';
