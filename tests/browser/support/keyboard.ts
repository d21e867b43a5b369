import type { Locator, Page } from 'playwright-core';
import { soon } from './soon';

/** More than any screen of these tests has; whoever has to press it as often does not find the way. */
const MOST_STEPS = 120;

/** What can be told of what has the focus; null where nothing has. */
interface Focused {
  readonly name: string;
  /** Whether it is the same as before, and whether it comes after that on the page; a field of several parts, such as a day, takes a Tab for each. */
  readonly isSame: boolean;
  readonly isAfter: boolean;
  /** Whether it is the first of the page, after the last: from there on it begins again. */
  readonly isAround: boolean;
  readonly hasParts: boolean;
  readonly isInDialog: boolean;
  /** How wide the line around it is, in pixels, on how many of its four sides it can be seen, and whether something else lies over the middle of it. */
  readonly line: number;
  readonly sides: number;
  readonly isCovered: boolean;
}

/** Has the page know what Tab comes to. */
const TABBABLE = `
  const tabbable = [...document.querySelectorAll('a[href], button, input, select, textarea, summary, [tabindex]')].filter((each) => each.tabIndex >= 0 && !each.disabled && each.checkVisibility({ visibilityProperty: true }));
  const isLast = (element) => !tabbable.some((each) => (element.compareDocumentPosition(each) & Node.DOCUMENT_POSITION_FOLLOWING) !== 0 && !element.contains(each));`;

/** Before the Tab: more may come to the page while it is pressed. */
const LOOK_AHEAD = `(() => {${TABBABLE}
  window.wasLast = isLast(document.activeElement);
})()`;

/** Looks at the focus from within the page. A part of it that an element that scrolls cuts off is not seen; nor is what lies outside of the window. */
const LOOK = `(() => {${TABBABLE}
  const element = document.activeElement;
  if (element === null || element === document.body) return null;
  const before = window.focusedBefore;
  window.focusedBefore = element;
  const style = getComputedStyle(element);
  const line = style.outlineStyle === 'none' ? 0 : Number.parseFloat(style.outlineWidth);
  const reach = line + Number.parseFloat(style.outlineOffset);
  const box = element.getBoundingClientRect();
  let [left, top, right, bottom] = [0, 0, document.documentElement.clientWidth, window.innerHeight];
  for (let around = element.parentElement; around !== null && around !== document.body; around = around.parentElement) {
    const { overflowX, overflowY } = getComputedStyle(around);
    if (overflowX === 'visible' && overflowY === 'visible') continue;
    const edge = around.getBoundingClientRect();
    [left, top, right, bottom] = [Math.max(left, edge.left), Math.max(top, edge.top), Math.min(right, edge.right), Math.min(bottom, edge.bottom)];
  }
  const sides = [box.left - reach >= left - 0.5, box.top - reach >= top - 0.5, box.right + reach <= right + 0.5, box.bottom + reach <= bottom + 0.5].filter(Boolean).length;
  const there = document.elementFromPoint((Math.max(box.left, left) + Math.min(box.right, right)) / 2, (Math.max(box.top, top) + Math.min(box.bottom, bottom)) / 2);
  return {
    name: element.tagName.toLowerCase() + ' ' + (element.getAttribute('aria-label') ?? (element.innerText || element.id)).slice(0, 80),
    isSame: element === before,
    isAfter: before === undefined || before === null || before === element || !before.isConnected || (before.compareDocumentPosition(element) & Node.DOCUMENT_POSITION_FOLLOWING) !== 0,
    isAround: element === tabbable[0] && !!before && before !== element && (window.wasLast || isLast(before)),
    hasParts: ['date', 'datetime-local', 'month', 'time'].includes(element.type),
    isInDialog: element.closest('dialog') !== null,
    line, sides,
    isCovered: there === null || !(element.contains(there) || there.contains(element) || there.closest('label')?.control === element),
  };
})()`;

/** Somebody who has keys and no mouse. Whatever the focus comes by is held to it: it is seen, it comes in the order of the page, and it goes on. */
export function keyboardOf(page: Page) {
  async function step(): Promise<Focused | null> {
    await page.evaluate(LOOK_AHEAD);
    await page.keyboard.press('Tab');
    const focused = await page.evaluate<Focused | null>(LOOK);
    if (focused === null) {
      // Past the end: it begins again.
      await page.evaluate('window.focusedBefore = null');
      return null;
    }
    const { name, isSame, isAfter, isAround, hasParts, isInDialog, line, sides, isCovered } = focused;
    const isKept = isSame && !hasParts;
    // Around a part within a field the browser draws a line of its own.
    const hasLine = line >= 2 || (isSame && hasParts);
    if (isKept || (!isAfter && !isAround && !isInDialog) || !hasLine || sides < 3 || isCovered) throw new Error(`The focus at "${name}": ${JSON.stringify(focused)}`);
    return focused;
  }

  const hasFocus = (target: Locator): Promise<boolean> => target.evaluate((element) => element === element.ownerDocument.activeElement);

  return {
    /** Presses Tab until the control has the focus, which it has to reach before the page begins for the third time. */
    async to(target: Locator): Promise<void> {
      await target.waitFor();
      // The page itself may have taken the focus elsewhere since the last Tab.
      await page.evaluate('window.focusedBefore = document.activeElement === document.body ? null : document.activeElement');
      const passed: string[] = [];
      for (let steps = 0; steps < MOST_STEPS; steps += 1) {
        if (await hasFocus(target)) return;
        const focused = await step();
        if (focused === null || focused.isAround) passed.push('the end');
        if (focused !== null) passed.push(focused.name);
        if (passed.filter((name) => name === 'the end').length > 1) break;
      }
      throw new Error(`No way by keyboard to ${target.toString()}: ${passed.join(', ')}`);
    },
    async press(target: Locator, key: 'Enter' | 'Space' = 'Enter'): Promise<void> {
      await this.to(target);
      await page.keyboard.press(key);
    },
    async type(target: Locator, text: string): Promise<void> {
      await this.to(target);
      await page.keyboard.type(text);
    },
    /** That the focus is somewhere, and where. */
    async isAt(what = /./): Promise<void> {
      await soon(async () => expect(await page.evaluate<string>(`document.activeElement === document.body ? '' : document.activeElement.innerText || document.activeElement.getAttribute('aria-label') || document.activeElement.tagName`)).toMatch(what));
    },
  };
}
