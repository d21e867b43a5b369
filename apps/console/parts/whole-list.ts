import { useEffect } from 'react';

interface Paged {
  readonly hasNextPage: boolean;
  readonly isFetching: boolean;
  readonly isError: boolean;
  readonly fetchNextPage: () => Promise<unknown>;
}

/** Reads a list to its end, page after page. A page that does not come stops it until it is asked for again, as `Answer` offers. */
export function useWholeList({ hasNextPage, isFetching, isError, fetchNextPage }: Paged): void {
  useEffect(() => {
    if (hasNextPage && !isFetching && !isError) void fetchNextPage();
  }, [hasNextPage, isFetching, isError, fetchNextPage]);
}
