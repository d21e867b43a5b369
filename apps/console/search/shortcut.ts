const isApple = /Mac|iPhone|iPad/.test(navigator.userAgent);

/** As it stands on the keyboard of who reads it. */
export const shortcutKeys = isApple ? '⌘ K' : 'Ctrl + K';

export function isShortcut(event: KeyboardEvent): boolean {
  return event.key.toLowerCase() === 'k' && (isApple ? event.metaKey : event.ctrlKey) && !event.altKey && !event.shiftKey;
}
