import { words } from '../words/words';

interface MoreProps {
  readonly question: { readonly hasNextPage: boolean; readonly isFetchingNextPage: boolean; readonly fetchNextPage: () => Promise<unknown> };
}

/** The button below a list that asks for its next page; nothing where the list ends. */
export function More({ question }: MoreProps) {
  if (!question.hasNextPage) return null;
  return (
    <div>
      <button type="button" className="button" aria-disabled={question.isFetchingNextPage} onClick={() => void question.fetchNextPage()}>
        {question.isFetchingNextPage ? words.working : words.more}
      </button>
    </div>
  );
}
