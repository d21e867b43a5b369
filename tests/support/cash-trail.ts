import type { CashMove, CashTrail } from '#contracts/cash-trail';
import type { TestClient } from './api';

/** The trail of cash, its moves and what the books say of them, as `office` sees them; asked for late, since a test starts its API first. */
export function cashTrailAs(office: () => TestClient) {
  return {
    trailOf: async (day: string): Promise<CashTrail> => (await office().get(`/v1/cash-trail?day=${day}`).expect(200)).body as CashTrail,
    move: async (body: object): Promise<CashMove> => (await office().post('/v1/cash-moves', body).expect(201)).body as CashMove,
    /** Balance of each account by its name, at the end of a day. */
    balances: async (on: string): Promise<Record<string, string>> => {
      const { body } = await office().get(`/v1/journal/trial-balance?on=${on}`).expect(200);
      return Object.fromEntries((body as { accounts: { name: string; balance: { amount: string } }[] }).accounts.map(({ name, balance }) => [name, balance.amount]));
    },
  };
}
