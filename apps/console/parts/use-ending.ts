import { useQueryClient, type QueryKey } from '@tanstack/react-query';
import { useMutation } from './use-mutation';

interface Ending<Body> {
  readonly send: (body: Body, key: string) => Promise<unknown>;
  /** Beginnings of the questions whose answers may be others now. */
  readonly changes: readonly QueryKey[];
  readonly onDone: () => void;
}

/** Sends what a dialog asked about, and closes it once everything behind it shows what has changed. */
export function useEnding<Body>({ send, changes, onDone }: Ending<Body>) {
  const client = useQueryClient();
  return useMutation({
    mutationFn: send,
    onSuccess: async () => {
      await Promise.all(changes.map((queryKey) => client.invalidateQueries({ queryKey })));
      onDone();
    },
  });
}
