import { useQuery } from '@tanstack/react-query';
import type { KeyHolder } from '../../api/shapes';
import { SelectField } from '../../parts/select-field';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { peopleQuery } from '../queries';

interface SpeakerFieldProps {
  readonly id: string;
  readonly holder: KeyHolder;
  readonly error: string | undefined;
  readonly value: string;
  readonly onValue: (personId: string) => void;
}

/** Who speaks for a store or a place; a person speaks for themselves, and nobody asks. */
export function SpeakerField({ holder, ...field }: SpeakerFieldProps) {
  const { api, may } = useOperator();
  const people = useQuery({ ...peopleQuery(api), enabled: holder.kind !== 'person' && may('person.read') });
  if (holder.kind === 'person') return null;
  const fitting = (people.data ?? []).filter(({ leftOn, siteId }) => leftOn === null && siteId === holder.siteId);
  return (
    <SelectField
      {...field} label={words.custody.confirm.speaker(holder.name)} none={words.custody.confirm.onlyOne} isLoading={people.isLoading}
      options={fitting.map(({ id, name, code }) => ({ value: id, text: words.custody.named(name, code) }))}
    />
  );
}
