import type { Close, CloseFailure } from '#contracts/close';
import type { Settlement, SettlementRow } from '#contracts/settlement';
import type { TestOperator } from './api';

/** Whose month is closed. The office acts; the worker's part is done in this process. */
type Books = { readonly operator: TestOperator };

/** Starts a close by the calendar month and has it settled. */
export async function closeMonth({ operator }: Books, startsOn: string): Promise<Close> {
  const started = (await operator.as('bookkeeper').post('/v1/closes', { cycle: 'month', startsOn }).expect(202)).body as Close;
  await operator.work();
  return readClose({ operator }, started.id);
}

export async function readClose({ operator }: Books, id: string): Promise<Close> {
  return (await operator.as('bookkeeper').get(`/v1/closes/${id}`).expect(200)).body as Close;
}

/** Settles what is missing in a run, as after something was mended. */
export async function settleMissing({ operator }: Books, id: string): Promise<Close> {
  await operator.as('bookkeeper').post(`/v1/closes/${id}/settle-missing`).expect(202);
  await operator.work();
  return readClose({ operator }, id);
}

/** Reviews and issues everything in a run. */
export async function issueMonth({ operator }: Books, id: string): Promise<Close> {
  await reviewMonth({ operator }, id);
  await operator.as('bookkeeper').post(`/v1/closes/${id}/issue`).expect(202);
  await operator.work();
  return readClose({ operator }, id);
}

export async function reviewMonth({ operator }: Books, id: string): Promise<Close> {
  await operator.as('bookkeeper').post(`/v1/closes/${id}/review`, {}).expect(202);
  await operator.work();
  return readClose({ operator }, id);
}

/** The settlement of a site's period that was not reversed; fails the test when there is none. */
export async function settlementOf({ operator }: Books, period: { siteId: string; startsOn: string }): Promise<Settlement> {
  const office = operator.as('bookkeeper');
  const { items } = (await office.get(`/v1/settlements?siteId=${period.siteId}&startsOn=${period.startsOn}`).expect(200)).body as { items: SettlementRow[] };
  const row = items.find(({ reversed }) => !reversed);
  if (row === undefined) throw new Error(`no settlement from ${period.startsOn}`);
  return (await office.get(`/v1/settlements/${row.id}`).expect(200)).body as Settlement;
}

/** `S-1 collections-not-accepted`, by site. */
export function failuresOf(close: { failures: readonly CloseFailure[] }): string[] {
  return close.failures.map((failure) => `${failure.siteCode} ${failure.code}`);
}
