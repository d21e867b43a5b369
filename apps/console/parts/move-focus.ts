import { flushSync } from 'react-dom';

const TAKES_FOCUS = 'a[href], button, input, select, textarea, summary';
const controls = (): HTMLElement[] => [...document.querySelectorAll<HTMLElement>(TAKES_FOCUS)];

/** Gives the focus to what nobody comes to by Tab, such as the first of the entries that have just come. */
export function focusOn(element: Element | null | undefined): void {
  if (!(element instanceof HTMLElement)) return;
  element.tabIndex = -1;
  element.focus();
}

/** Takes the entry around a control out of its list; the focus goes to what then stands in its place, for with the control it would be lost. */
export function removeAround(control: Element, remove: () => void): void {
  const entry = control.closest('fieldset, li');
  const place = controls().findIndex((each) => entry?.contains(each));
  flushSync(remove);
  controls()[place]?.focus();
}
