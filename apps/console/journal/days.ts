import type { Days } from '../api/journal-api';

/** Whole, and over. */
export function lastMonth(today: string): Days {
  const [year = 0, month = 0] = today.split('-').map(Number);
  const text = (day: Date) => day.toISOString().slice(0, 10);
  return { from: text(new Date(Date.UTC(year, month - 2, 1))), to: text(new Date(Date.UTC(year, month - 1, 0))) };
}

export function isDay(text: string): boolean {
  return /^\d{4}-\d{2}-\d{2}$/.test(text) && !Number.isNaN(Date.parse(text));
}
