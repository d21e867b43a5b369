import { words } from '../words/words';
import type { FormError } from './error-summary';
import { Field } from './field';
import { errorAt } from './form';
import { SelectField } from './select-field';

const text = words.notRead;

export const whys = ['display-dark', 'machine-off', 'meter-broken', 'not-reached', 'other'] as const;
export type Why = (typeof whys)[number];

/** Why a meter was not read, as it is typed; an empty `why` says nothing. */
export interface Unread {
  readonly why: Why | '';
  readonly note: string;
}

export const notSaid: Unread = { why: '', note: '' };

/** What of it is missing: it says why, and in words where none of the usual reasons fits. */
export function missingIn({ why, note }: Unread): 'why' | 'note' | null {
  if (why === '') return 'why';
  return why === 'other' && note.trim().length < 3 ? 'note' : null;
}

/** As the api takes it; null where nothing was said. */
export function readUnread({ why, note }: Unread): { readonly why: Why; readonly note?: string } | null {
  if (why === '') return null;
  return why === 'other' ? { why, note: note.trim() } : { why };
}

interface WhyNotReadProps {
  /** Begins the ids of the fields. */
  readonly id: string;
  /** Of the meter. */
  readonly label: string;
  readonly unread: Unread;
  readonly errors: readonly FormError[];
  readonly onUnread: (unread: Unread) => void;
}

/** Asked of a meter of which nothing is typed. */
export function WhyNotRead({ id, label, unread, errors, onUnread }: WhyNotReadProps) {
  return (
    <>
      <SelectField
        id={`${id}-why`} label={text.ask(label)} none={text.choose} error={errorAt(errors, `${id}-why`)} value={unread.why} options={whys.map((value) => ({ value, text: text.why[value] }))}
        onValue={(chosen) => onUnread({ ...unread, why: whys.find((each) => each === chosen) ?? '' })}
      />
      {unread.why === 'other' ? <Field id={`${id}-note`} label={text.note} autoComplete="off" maxLength={1000} error={errorAt(errors, `${id}-note`)} value={unread.note} onValue={(note) => onUnread({ ...unread, note })} /> : null}
    </>
  );
}
