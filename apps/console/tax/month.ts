/** Filing months as the address and the api write them: 2026-03. */

/** The month that is over last, on the reader's own calendar: the one that is filed next. */
export function lastMonth(now: Date): string {
  const first = new Date(Date.UTC(now.getFullYear(), now.getMonth() - 1, 1));
  return first.toISOString().slice(0, 7);
}

export function isMonth(text: string): boolean {
  return /^\d{4}-(0[1-9]|1[0-2])$/.test(text);
}
