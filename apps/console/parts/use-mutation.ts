import { useMutation as useLibraryMutation, type DefaultError, type UseMutationOptions, type UseMutationResult } from '@tanstack/react-query';
import { useCallback, useRef } from 'react';
import { codeOf } from '../api/problem';

interface Options<Data, Variables> extends Omit<UseMutationOptions<Data, DefaultError, Variables>, 'mutationFn'> {
  /** `key` is the Idempotency-Key of what is asked for. */
  readonly mutationFn: (variables: Variables, key: string) => Promise<Data>;
  /** Set in a form, where all that is sent until it is recorded is one thing, however it is corrected meanwhile. */
  readonly isOneThing?: true;
}

/**
 * The query library's `useMutation`, which asks for each thing once.
 *
 * It does nothing while what was asked for is under way. The library tells that only a moment later, so where the page is
 * slow the second of two quick presses on "Record" went out as well, under a key of its own, and what it recorded stood in
 * the books twice.
 *
 * And it keeps the key until it has been done. Where the answer was lost nobody knows whether it was recorded: asked for
 * again under the same key, it is answered as it was then. A refusal leaves the key free for the correction.
 */
export function useMutation<Data, Variables = void>({ mutationFn, isOneThing, ...options }: Options<Data, Variables>): UseMutationResult<Data, DefaultError, Variables> {
  const keys = useRef(new Map<string, string>());
  const mutation = useLibraryMutation<Data, DefaultError, Variables>({
    ...options,
    mutationFn: async (variables) => {
      const thing = isOneThing ? '' : textOf(variables);
      const key = keys.current.get(thing) ?? crypto.randomUUID();
      keys.current.set(thing, key);
      try {
        const data = await mutationFn(variables, key);
        keys.current.delete(thing);
        return data;
      } catch (error) {
        // What was sent first is in the books: in a form nothing else is sent for it; elsewhere this is something new.
        if (!isOneThing && codeOf(error) === 'idempotency-key-reused') keys.current.delete(thing);
        throw error;
      }
    },
  });
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

/** The same for what is alike; of a file its name, size and time, which a JSON text would leave out. */
function textOf(variables: unknown): string {
  return JSON.stringify(variables, (_name, value: unknown) => (value instanceof File ? [value.name, value.size, value.lastModified] : value)) ?? '';
}
