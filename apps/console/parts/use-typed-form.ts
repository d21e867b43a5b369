import { useId, useState } from 'react';
import type { QueryKey } from '@tanstack/react-query';
import { errorAt } from './form';
import { unless, useSending } from './use-sending';

type Texts = Readonly<Record<string, string>>;

interface TypedForm<Typed extends Texts, Body, Answer> {
  readonly initial: Typed;
  /** A message for each field that is not filled in as it has to be; false or left out where all is well. */
  readonly missing: (typed: Typed) => Partial<Readonly<Record<keyof Typed, string | false>>>;
  readonly body: (typed: Typed) => Body;
  readonly send: (body: Body) => Promise<Answer>;
  /** Beginnings of the questions whose answers may be others now. */
  readonly changes: readonly QueryKey[];
  readonly onDone: (answer: Answer) => void;
  /** The field for members of the body that go by another name than theirs. */
  readonly named?: Readonly<Record<string, keyof Typed & string>>;
  /** The part of the body that the form asks for, where that is not all of it: `reports/0`. */
  readonly within?: string;
}

/**
 * A form of texts: what was typed, and for each field its id, value and error, to be spread over the field. What was
 * typed stays when the api refuses.
 */
export function useTypedForm<Typed extends Texts, Body, Answer>({ initial, missing, body, send, changes, onDone, named = {}, within }: TypedForm<Typed, Body, Answer>) {
  const id = useId();
  const [typed, setTyped] = useState(initial);
  const idOf = (name: string): string => `${id}-${name}`;
  const fields = {
    ...Object.fromEntries(Object.keys(initial).map((name) => [name, idOf(name)])),
    ...Object.fromEntries(Object.entries(named).map(([member, name]) => [member, idOf(name)])),
  };
  const { errors, busy, submit } = useSending({ send, fields, within, changes, onDone });
  const set = (part: Partial<Typed>) => setTyped((before) => ({ ...before, ...part }));
  return {
    typed,
    set,
    errors,
    busy,
    field: (name: keyof Typed & string) => ({
      id: idOf(name),
      value: typed[name] ?? '',
      error: errorAt(errors, idOf(name)),
      onValue: (value: string) => setTyped((before) => ({ ...before, [name]: value })),
    }),
    submit: () => {
      const messages = missing(typed);
      const found = Object.keys(initial).map((name) => {
        const message = messages[name];
        return typeof message === 'string' ? unless(false, idOf(name), message) : null;
      });
      submit(body(typed), found);
    },
  };
}

/** Lines of an address, as they are typed in one box. */
export const linesOf = (typed: string): string[] => typed.split('\n').map((line) => line.trim()).filter((line) => line !== '');

/** What is left out when nothing was typed. */
export const orNull = (typed: string): string | null => (typed.trim() === '' ? null : typed.trim());
