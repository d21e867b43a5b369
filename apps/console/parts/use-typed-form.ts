import { useId, useState, type Dispatch, type SetStateAction } from 'react';
import type { QueryKey } from '@tanstack/react-query';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import type { FormError } from './error-summary';
import { errorAt } from './form';
import { useChangedMeanwhile, type Edited, type Revised } from './use-changed-meanwhile';
import { unless, useSending } from './use-sending';

type Texts = Readonly<Record<string, string>>;

interface FormOfTexts<Typed extends Texts, Body, Answer> {
  /** A message for each field that is not filled in as it has to be; false or left out where all is well. */
  readonly missing: (typed: Typed) => Partial<Readonly<Record<keyof Typed, string | false>>>;
  readonly send: (body: Body, key: string) => Promise<Answer>;
  /** Beginnings of the questions whose answers may be others now. */
  readonly changes: readonly QueryKey[];
  readonly onDone: (answer: Answer) => void;
  /** The field for members of the body that go by another name than theirs. */
  readonly named?: Readonly<Record<string, keyof Typed & string>>;
  /** The part of the body that the form asks for, where that is not all of it: `reports/0`. */
  readonly within?: string;
  /** What is wrong beside the texts. */
  readonly also?: () => readonly (FormError | null)[];
  /** How to tell an error about something beside the texts. */
  readonly elsewhere?: (place: string, message: string) => FormError;
}

interface TypedForm<Typed extends Texts, Body, Answer> extends FormOfTexts<Typed, Body, Answer> {
  readonly initial: Typed;
  readonly body: (typed: Typed) => Body;
}

/**
 * A form of texts: what was typed, and for each field its id, value and error, to be spread over the field. What was
 * typed stays when the api refuses.
 */
export function useTypedForm<Typed extends Texts, Body, Answer>({ initial, ...form }: TypedForm<Typed, Body, Answer>) {
  const [typed, setTyped] = useState(initial);
  return useTexts({ ...form, typed, setTyped });
}

interface EditForm<Thing extends Revised, Typed extends Texts, Body, Answer> extends FormOfTexts<Typed, Body, Answer> {
  readonly edited: Edited<Thing, Typed> & { readonly thing: Thing };
  /** With the thing as it was when it was read last: its revision goes along. */
  readonly body: (typed: Typed, seen: Thing) => Body;
}

/** The same of something that two people may edit: where a colleague was quicker, `conflict` asks about each field, to stand above the form. */
export function useEditForm<Thing extends Revised, Typed extends Texts, Body, Answer>({ edited, body, ...form }: EditForm<Thing, Typed, Body, Answer>) {
  const [typed, setTyped] = useState(() => edited.enteredOf(edited.thing));
  const { seen, onRefused, conflict } = useChangedMeanwhile(edited, { entered: typed, onEntered: setTyped });
  return { ...useTexts({ ...form, typed, setTyped, body: (now: Typed) => body(now, seen ?? edited.thing), onRefused }), conflict };
}

interface Texted<Typed extends Texts, Body, Answer> extends FormOfTexts<Typed, Body, Answer> {
  readonly typed: Typed;
  readonly setTyped: Dispatch<SetStateAction<Typed>>;
  readonly body: (typed: Typed) => Body;
  readonly onRefused?: (error: unknown) => Promise<boolean>;
}

function useTexts<Typed extends Texts, Body, Answer>({ typed, setTyped, missing, body, send, changes, onDone, onRefused, named = {}, within, also, elsewhere }: Texted<Typed, Body, Answer>) {
  const id = useId();
  const names = Object.keys(typed);
  const idOf = (name: string): string => `${id}-${name}`;
  const fields = {
    ...Object.fromEntries(names.map((name) => [name, idOf(name)])),
    ...Object.fromEntries(Object.entries(named).map(([member, name]) => [member, idOf(name)])),
  };
  const { errors, busy, submit } = useSending({ send, fields, within, changes, onDone, onRefused, ...(elsewhere === undefined ? {} : { elsewhere }) });
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
      const found = names.map((name) => {
        const message = messages[name];
        return typeof message === 'string' ? unless(false, idOf(name), message) : null;
      });
      submit(body(typed), [...found, ...(also?.() ?? [])]);
    },
  };
}

/** Lines of an address, as they are typed in one box. */
export const linesOf = (typed: string): string[] => typed.split('\n').map((line) => line.trim()).filter((line) => line !== '');

/** What is left out when nothing was typed. */
export const orNull = (typed: string): string | null => (typed.trim() === '' ? null : typed.trim());

/** A day that was typed, as it is read; nothing where none was. */
export const dayInWords = (typed: string): string => (typed === '' ? '' : formatDay(typed, locale));
