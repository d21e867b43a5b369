import { useEffect, useRef, useState, type ReactNode } from 'react';
import { codeOf } from '../api/problem';
import { ChangedMeanwhile, type FieldInQuestion } from './changed-meanwhile';

/** What each field is called, and how its value reads; two values that read alike are one. */
type FieldsInWords<Entered> = { readonly [Name in keyof Entered]: FieldInWords<Entered[Name]> };
interface FieldInWords<Value> {
  readonly label: string;
  readonly says?: (value: Value) => string;
}

/** What of a thing says which it is, and whether it has changed. */
export interface Revised {
  readonly id: string;
  readonly revision: number;
}

/** Something that two people may edit. */
export interface Edited<Thing extends Revised, Entered> {
  /** As it was when the form was opened; a later one is left aside, for what is typed was not typed over it. Null in a form for a new one. */
  readonly thing: Thing | null;
  /** As it is now. */
  readonly read: (id: string) => Promise<Thing>;
  /** What the form would begin with. */
  readonly enteredOf: (thing: Thing) => Entered;
  readonly fields: FieldsInWords<Entered>;
}

interface Question<Entered> {
  readonly names: readonly (keyof Entered & string)[];
  readonly theirs: Entered;
  readonly mine: Entered;
}

/**
 * For a form whose sending is refused because a colleague changed the same thing meanwhile: reads it again, keeps what was
 * entered, takes theirs where only they changed a field, and asks about every field that would differ. What is sent next goes by
 * the revision that was read, so it is refused again where it has changed once more.
 */
export function useChangedMeanwhile<Thing extends Revised, Entered extends object>(
  edited: Edited<Thing, Entered>,
  form: { readonly entered: Entered; readonly onEntered: (entered: Entered) => void },
) {
  const { read, enteredOf, fields } = edited;
  const { entered, onEntered } = form;
  // What is typed while the answer is on its way counts, too.
  const latest = useRef(entered);
  useEffect(() => {
    latest.current = entered;
  }, [entered]);
  const [seen, setSeen] = useState(edited.thing);
  const [question, setQuestion] = useState<Question<Entered> | null>(null);
  const reads = (name: keyof Entered, of: Entered): string => (fields[name].says ?? String)(of[name]).trim();
  const compare = (now: Thing): void => {
    const [before, theirs, mine] = [enteredOf(seen ?? now), enteredOf(now), latest.current];
    const all = Object.keys(fields) as (keyof Entered & string)[];
    const names = all.filter((name) => reads(name, theirs) !== reads(name, mine));
    const untouched = names.filter((name) => reads(name, mine) === reads(name, before));
    setSeen(now);
    setQuestion({ names, theirs, mine });
    onEntered({ ...mine, ...picked(untouched, theirs) });
  };
  /** True where that was it, and the question stands. */
  const onRefused = async (error: unknown): Promise<boolean> => {
    if (seen === null || codeOf(error) !== 'changed-meanwhile') return false;
    compare(await read(seen.id));
    return true;
  };
  const inQuestion = (of: Question<Entered>): FieldInQuestion[] =>
    of.names.map((name) => ({
      name,
      label: fields[name].label,
      theirs: reads(name, of.theirs),
      mine: reads(name, of.mine),
      isTheirs: reads(name, entered) === reads(name, of.theirs),
      onTheirs: () => onEntered({ ...entered, ...picked([name], of.theirs) }),
      onMine: () => onEntered({ ...entered, ...picked([name], of.mine) }),
    }));
  // Another revision is another question, which takes the focus anew.
  const conflict: ReactNode = question === null ? null : <ChangedMeanwhile key={seen?.revision} fields={inQuestion(question)} />;
  return { seen, onRefused, conflict };
}

function picked<Entered extends object>(names: readonly (keyof Entered)[], from: Entered): Partial<Entered> {
  return Object.fromEntries(names.map((name) => [name, from[name]])) as Partial<Entered>;
}
