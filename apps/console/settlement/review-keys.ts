export type ReviewCommand = 'next' | 'previous' | 'accept' | 'hold';

const commands: Readonly<Record<string, ReviewCommand>> = { n: 'next', p: 'previous', a: 'accept', h: 'hold' };
const remembered = 'review-keys';

/** Single letters stand in the way of who speaks to the machine (WCAG 2.2, 2.1.4): they are off until somebody wants them. */
export function keysAreOn(): boolean {
  return localStorage.getItem(remembered) === 'on';
}

export function rememberKeys(on: boolean): void {
  localStorage.setItem(remembered, on ? 'on' : 'off');
}

/** What a key asks for; null where it is typed into something, meant for the browser, or held down. */
export function keyCommand({ key, target, ctrlKey, metaKey, altKey, repeat }: KeyboardEvent): ReviewCommand | null {
  if (ctrlKey || metaKey || altKey || repeat) return null;
  if (target instanceof Element && target.closest('input:not([type="checkbox"]), textarea, select, dialog, [contenteditable]') !== null) return null;
  return commands[key.toLowerCase()] ?? null;
}
