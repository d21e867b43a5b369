import { useEffect, useRef } from 'react';
import { words } from '../words/words';
import { focusOn } from './move-focus';

interface MoreProps {
  readonly question: { readonly hasNextPage: boolean; readonly isFetchingNextPage: boolean; readonly fetchNextPage: () => Promise<unknown> };
}

/** The button below a list that asks for its next page; nothing where the list ends. */
export function More({ question }: MoreProps) {
  const button = useRef<HTMLButtonElement>(null);
  const lastShown = useRef<Element | null>(null);
  const { hasNextPage, isFetchingNextPage } = question;
  useEffect(() => {
    // With the last page the button goes, and the focus with it: it passes to the first of what came.
    if (!hasNextPage && document.activeElement === document.body) focusOn(lastShown.current?.nextElementSibling);
  }, [hasNextPage]);
  const fetchMore = () => {
    lastShown.current = [...(button.current?.parentElement?.previousElementSibling?.querySelectorAll('tbody > tr, li') ?? [])].at(-1) ?? null;
    void question.fetchNextPage();
  };
  if (!hasNextPage) return null;
  return (
    <div>
      <button ref={button} type="button" className="button" aria-disabled={isFetchingNextPage} onClick={fetchMore}>
        {isFetchingNextPage ? words.working : words.more}
      </button>
    </div>
  );
}
