import { useQueryClient, type QueryKey } from '@tanstack/react-query';
import { useState } from 'react';
import { mayBeDone } from '../api/problem';
import type { FormError } from './error-summary';
import { recordingErrorsOf } from './form-errors';
import { useMutation } from './use-mutation';

interface Sending<Body, Answer> {
  /** `key` is the Idempotency-Key of what the form is filled in for, until it is recorded. */
  readonly send: (body: Body, key: string) => Promise<Answer>;
  /** Id of the field for each member of the body that the form asks for. */
  readonly fields: Readonly<Record<string, string>>;
  /** The part of the body that the form asks for, where that is not all of it. */
  readonly within?: string | undefined;
  /** How to tell an error about something else, by the place that the api names. */
  readonly elsewhere?: (place: string, message: string) => FormError;
  /** Beginnings of the questions whose answers may be others now. */
  readonly changes: readonly QueryKey[];
  readonly onDone: (answer: Answer) => void;
  /** Deals with a refusal in its own way, such as a colleague's change; true where it did, and nothing is left to tell. */
  readonly onRefused?: ((error: unknown) => Promise<boolean>) | undefined;
}

/** Nothing was sent, and what is to be said about it is said elsewhere. */
const DEALT_WITH = Symbol('dealt with');

/** Sends what a form asks for, unless something is missing, and keeps what was refused for the form to show. */
export function useSending<Body, Answer>({ send, fields, within, elsewhere, changes, onDone, onRefused }: Sending<Body, Answer>) {
  const client = useQueryClient();
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const sending = useMutation({
    isOneThing: true,
    mutationFn: async (body: Body, key) => {
      try {
        return await send(body, key);
      } catch (error) {
        if (onRefused !== undefined && (await onRefused(error))) return DEALT_WITH;
        throw error;
      }
    },
    onSuccess: async (answer) => {
      // Also what a colleague changed shows behind the form.
      await Promise.all(changes.map((queryKey) => client.invalidateQueries({ queryKey })));
      if (answer !== DEALT_WITH) onDone(answer);
    },
    onError: (error) => {
      if (mayBeDone(error)) for (const queryKey of changes) void client.invalidateQueries({ queryKey });
      setErrors(recordingErrorsOf(error, { fields, within, ...(elsewhere === undefined ? {} : { elsewhere }) }));
    },
  });
  const submit = (body: Body, missing: readonly (FormError | null)[]) => {
    const found = missing.filter((each) => each !== null);
    setErrors(found);
    if (found.length === 0) sending.mutate(body);
  };
  return { errors, busy: sending.isPending, submit };
}

/** An error for the summary where something is missing, for a list of them. */
export const unless = (isThere: boolean, fieldId: string, message: string): FormError | null => (isThere ? null : { fieldId, message });
