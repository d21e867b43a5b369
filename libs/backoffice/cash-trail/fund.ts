import type { ChangeFund, ChangeFunds, CreateChangeFund } from '#contracts/cash-trail';
import { moneyOf } from '#contracts/money';
import { done, refusedFields, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { taken, unknownReference } from '../refusal';
import { onlyRow } from '../rows';
import { insertFund, selectFunds, type FundRow } from './move.sql';

/** Sets up a changer, tubes or a hopper as a fund of its own. It begins empty: the first filling brings its money. */
export async function createChangeFund(deps: Backoffice, caller: Caller, command: CreateChangeFund): Promise<Outcome<ChangeFund>> {
  return perform<ChangeFund>(
    deps,
    caller,
    'change-fund.create',
    async ({ tx, now }) => {
      const { code, kind, siteId, machineId = null } = command;
      const id = command.id ?? deps.newId();
      if (!(await insertFund(tx, { id, code, kind, siteId, machineId, now }))) return refusedFields('invalid-command', [{ path: ['siteId'], code: 'unknown', message: 'There is no site with this id.' }]);
      return done(toFund(onlyRow(await selectFunds(tx, id))));
    },
    {
      constraints: {
        change_fund_pkey: taken(['id'], 'a fund with this id'),
        change_fund_code_once: taken(['code'], 'a fund with this code'),
        change_fund_machine: unknownReference(['machineId'], 'machine'),
      },
    },
  );
}

export async function listChangeFunds(deps: Backoffice, caller: Caller): Promise<Outcome<ChangeFunds>> {
  return perform(deps, caller, 'cash-trail.read', async ({ tx }) => done({ items: (await selectFunds(tx, null)).map(toFund) }));
}

function toFund(row: FundRow): ChangeFund {
  return { id: row.id, code: row.code, kind: row.kind, siteId: row.site_id, siteCode: row.site_code, machineTag: row.machine_tag, balance: moneyOf(row.balance_minor, row.currency), countedOn: row.counted_on };
}
