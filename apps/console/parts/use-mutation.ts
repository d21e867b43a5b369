import { useMutation as useLibraryMutation, type DefaultError, type UseMutationOptions, type UseMutationResult } from '@tanstack/react-query';
import { useCallback, useRef } from 'react';

/**
 * The query library's `useMutation`, which does nothing while what was asked for is under way. The library tells that only a
 * moment later, so where the page is slow the second of two quick presses on "Record" went out as well, under a key of its
 * own, and what it recorded stood in the books twice.
 */
export function useMutation<Data, Variables = void>(options: UseMutationOptions<Data, DefaultError, Variables>): UseMutationResult<Data, DefaultError, Variables> {
  const mutation = useLibraryMutation(options);
  const isUnderWay = useRef(false);
  const { mutateAsync } = mutation;
  const mutate = useCallback<typeof mutation.mutate>(
    (...asked) => {
      if (isUnderWay.current) return;
      isUnderWay.current = true;
      const over = () => {
        isUnderWay.current = false;
      };
      // What went wrong is told by the mutation itself.
      mutateAsync(...asked).then(over, over);
    },
    [mutateAsync],
  );
  return { ...mutation, mutate };
}
