import { useQuery } from '@tanstack/react-query';
import type { KeyHolder } from '../../api/shapes';
import { TroubleNotice } from '../../parts/trouble';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { everyPlaceQuery, peopleQuery } from '../queries';
import { keyStoresQuery } from '../set-up/queries';

export type HolderReference = Pick<KeyHolder, 'kind' | 'id'>;

interface HolderFieldProps {
  readonly id: string;
  readonly label: string;
  readonly error: string | undefined;
  readonly kinds: readonly KeyHolder['kind'][];
  readonly value: HolderReference | null;
  /** Who is out of the question: who has it already. */
  readonly without?: string | undefined;
  readonly onValue: (holder: HolderReference | null) => void;
}

const text = words.custody;

/** Somebody, a store or a named place, by groups. */
export function HolderField({ id, label, error, kinds, value, without, onValue }: HolderFieldProps) {
  const { api, may } = useOperator();
  const asks = (kind: KeyHolder['kind']) => kinds.includes(kind);
  const people = useQuery({ ...peopleQuery(api), enabled: asks('person') && may('person.read') });
  const stores = useQuery({ ...keyStoresQuery(api), enabled: asks('store') && may('key-store.read') });
  const places = useQuery({ ...everyPlaceQuery(api), enabled: asks('place') && may('key-place.read') });
  const trouble = [people, stores, places].find(({ isError }) => isError);
  const working = (people.data ?? []).filter(({ leftOn }) => leftOn === null);
  const groups = [
    { title: text.own, kind: 'person' as const, items: asks('person') ? working.filter(({ employedBy }) => employedBy === 'operator') : [] },
    { title: text.ofSites, kind: 'person' as const, items: asks('person') ? working.filter(({ employedBy }) => employedBy === 'site') : [] },
    { title: text.stores, kind: 'store' as const, items: asks('store') ? (stores.data ?? []) : [] },
    { title: text.places, kind: 'place' as const, items: asks('place') ? (places.data ?? []) : [] },
  ].filter(({ items }) => items.length > 0);
  return (
    <div className="field">
      <label htmlFor={id}>{label}</label>
      {error === undefined ? null : (
        <span id={`${id}-error`} className="field-error">
          {error}
        </span>
      )}
      {trouble === undefined ? null : <TroubleNotice error={trouble.error} onRetry={() => void trouble.refetch()} />}
      <select
        id={id} value={value === null ? '' : `${value.kind} ${value.id}`} aria-invalid={error !== undefined} aria-describedby={error === undefined ? undefined : `${id}-error`}
        onChange={(event) => onValue(referenceIn(event.currentTarget.value))}
      >
        <option value="">{words.keys.holdings.choose}</option>
        {groups.map(({ title, kind, items }) => (
          <optgroup key={title} label={title}>
            {items
              .filter((item) => item.id !== without)
              .map((item) => (
                <option key={item.id} value={`${kind} ${item.id}`}>
                  {'siteCode' in item ? text.atSite(item.name, item.siteCode) : text.named(item.name, item.code)}
                </option>
              ))}
          </optgroup>
        ))}
      </select>
    </div>
  );
}

function referenceIn(value: string): HolderReference | null {
  const [kind, id] = value.split(' ');
  return id !== undefined && (kind === 'person' || kind === 'store' || kind === 'place') ? { kind, id } : null;
}
