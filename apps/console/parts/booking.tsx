import { useQueryClient, type QueryKey } from '@tanstack/react-query';
import { useEffect, useRef, useState, type ReactNode } from 'react';
import { mayBeDone } from '../api/problem';
import { words } from '../words/words';
import { Dialog } from './dialog';
import { ErrorSummary, type FormError } from './error-summary';
import { recordingErrorsOf } from './form-errors';
import { leadTo, Needs, standing, type Need } from './needs';
import { useMutation } from './use-mutation';

/** What a form holds: what is wrong with it, or what is to be sent and what that books, in sentences. */
export type Filled<Body> = { readonly errors: readonly FormError[] } | { readonly body: Body; readonly books: readonly string[] };

interface BookingProps<Body> {
  readonly title: string;
  /** What the last button does, in a verb. */
  readonly action: string;
  /** Looks at the fields as they are now. */
  readonly read: () => Filled<Body>;
  /** `key` is the Idempotency-Key of what the form is filled in for, until it is booked. */
  readonly send: (body: Body, key: string) => Promise<unknown>;
  /** Questions whose answers change with it. */
  readonly refresh: QueryKey;
  /** Others whose answers change with it. */
  readonly alsoRefresh?: readonly QueryKey[];
  /** Id of the field for each member of the request's body. */
  readonly fields: Readonly<Record<string, string>>;
  /** What it has to know: until that is there it cannot be sent, and the way out is open. */
  readonly needs?: readonly Need[];
  readonly onClose: () => void;
  readonly children: (errors: readonly FormError[]) => ReactNode;
}

interface Checked<Body> {
  readonly body: Body;
  readonly books: readonly string[];
}

/**
 * A form in two steps: it is filled in, then it says what will be booked, and only then books it. Whoever goes back, or
 * is sent back by a refusal, finds everything as it was typed: the fields' values are kept by the one who renders this.
 */
export function Booking<Body>({ title, action, read, send, refresh, alsoRefresh = [], fields, needs = [], onClose, children }: BookingProps<Body>) {
  const client = useQueryClient();
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const [checked, setChecked] = useState<Checked<Body> | null>(null);
  const booking = useMutation({
    isOneThing: true,
    mutationFn: ({ body }: Checked<Body>, key) => send(body, key),
    onSuccess: async () => {
      // The month end says what is not paid.
      await Promise.all([refresh, ['month-end'], ...alsoRefresh].map((queryKey) => client.invalidateQueries({ queryKey })));
      onClose();
    },
    onError: (error) => {
      // Without an answer nobody knows whether it was booked: what is behind the form may tell.
      if (mayBeDone(error)) void client.invalidateQueries({ queryKey: refresh });
      const told = recordingErrorsOf(error, { fields });
      setErrors(told);
      setChecked((before) => (told.some(({ fieldId }) => fieldId !== null) ? null : before));
    },
  });
  const look = () => {
    const filled = read();
    if ('errors' in filled) return setErrors(filled.errors);
    setErrors([]);
    setChecked(filled);
  };
  const inTheWay = standing(needs);
  const place = useRef<HTMLDivElement>(null);
  const isBusy = inTheWay === 'loading' || booking.isPending;
  const submit = () => (inTheWay === 'failed' ? leadTo(place.current) : isBusy ? undefined : checked === null ? look() : booking.mutate(checked));
  return (
    <Dialog title={title} onClose={onClose} canClose={!booking.isPending}>
      <form
        className="form"
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          submit();
        }}
      >
        <ErrorSummary errors={errors} />
        <Needs ref={place} needs={needs} />
        {checked === null ? children(errors) : <WhatIsBooked books={checked.books} />}
        <div className="row">
          <button type="submit" className="button button-main" aria-disabled={isBusy}>
            {isBusy ? words.working : checked === null ? words.booking.look : action}
          </button>
          {checked === null ? null : (
            <button type="button" className="button" onClick={() => setChecked(null)} disabled={booking.isPending}>
              {words.booking.back}
            </button>
          )}
          <button type="button" className="button" onClick={onClose} disabled={booking.isPending}>
            {words.cancel}
          </button>
        </div>
      </form>
    </Dialog>
  );
}

/** Takes the focus, so that it is also heard. */
function WhatIsBooked({ books }: { readonly books: readonly string[] }) {
  const place = useRef<HTMLDivElement>(null);
  useEffect(() => place.current?.focus(), []);
  return (
    <div ref={place} className="notice" role="group" aria-label={words.booking.title} tabIndex={-1}>
      <h3>{words.booking.title}</h3>
      <ul>
        {books.map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
    </div>
  );
}
