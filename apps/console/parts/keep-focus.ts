/**
 * From now on, when what has the focus goes away (a button whose work is done, the row of what was accepted), the heading above it gets the focus:
 * else whoever goes by keyboard or by ear is nowhere. Nothing scrolls, for whoever points is where they were.
 */
export function keepFocus(): void {
  let last: Element | null = null;
  let around: Element | null = null;
  document.addEventListener('focusin', ({ target }) => {
    if (!(target instanceof Element)) return;
    last = target;
    around = target.closest('dialog, section');
  });
  document.addEventListener('focusout', ({ target }) => {
    // Whoever presses beside it has let go of it: what becomes of it later is not theirs. One that goes, or cannot be used for a moment, was taken from them.
    queueMicrotask(() => {
      if (target === last && last?.isConnected === true && !last.matches(':disabled') && document.activeElement === document.body) last = null;
    });
  });
  const lookAfter = (): void => {
    if (last?.isConnected !== false || document.activeElement !== document.body) return;
    const heading = (around?.isConnected === true ? around.querySelector('h2, h3') : null) ?? document.querySelector('dialog[open] h2') ?? document.querySelector('h1');
    heading?.setAttribute('tabindex', '-1');
    if (heading instanceof HTMLElement) heading.focus({ preventScroll: true });
  };
  new MutationObserver(lookAfter).observe(document.body, { childList: true, subtree: true });
}
