import type { TestClient } from './api';
import { usd } from './collecting';

type Meter = { readonly label: string; readonly tender: string; readonly digits: number | null; readonly unitValue: object; readonly mostPerHour: number; readonly value: string };

export const meterFields = (fields: Partial<Meter> = {}): Meter => ({ label: 'Coins', tender: 'coin', digits: 5, unitValue: usd('0.25'), mostPerHour: 60, value: '00120', ...fields });
export const boardFields = (meters: readonly Meter[] = [meterFields()]) => ({ label: 'Main board', meters });

/** Fits a board in February 2025 unless told otherwise; the meters' ids come in the order of their labels. */
export async function fitBoard(office: TestClient, machineId: string, fields: object = {}) {
  const { body } = await office.post(`/v1/machines/${machineId}/counter-boards`, { ...boardFields(), fittedAt: '2025-02-01T12:00:00Z', ...fields }).expect(201);
  const board = (body as { items: { id: string; meters: { id: string }[] }[] }).items.at(-1);
  const meterIds = board?.meters.map(({ id }) => id) ?? [];
  return { boardId: board?.id ?? '', meterIds, meterId: meterIds[0] ?? '' };
}
