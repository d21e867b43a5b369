import { useQuery } from '@tanstack/react-query';
import type { KeyException, KeyHolder } from '../../api/shapes';
import { Labelled } from '../../parts/labelled';
import { TroubleNotice } from '../../parts/trouble';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { everyPlaceQuery, peopleQuery } from '../queries';
import { keyExceptionsQuery, keyStoresQuery } from '../set-up/queries';
import { cashBoxKeyMayGoTo } from './cash-box-receivers';
import { receiversQuery } from './queries';

export type HolderReference = Pick<KeyHolder, 'kind' | 'id'>;

interface HolderFieldProps {
  readonly id: string;
  readonly label: string;
  readonly error: string | undefined;
  readonly kinds: readonly KeyHolder['kind'][];
  readonly value: HolderReference | null;
  /** Who is out of the question: who has it already. */
  readonly without?: string | undefined;
  /** Set where a cash-box key is about to go: who is at a site is offered under an exception of the owner, from hand to hand not even then. */
  readonly cashBox?: { readonly movement: 'issued' | 'handed-over'; readonly at: Date } | undefined;
  readonly onValue: (holder: HolderReference | null) => void;
}

const text = words.custody;

interface Named {
  readonly id: string;
  readonly name: string;
  readonly code: string;
  readonly siteCode?: string | null;
}

/** Somebody, a store or a named place, by groups. Somebody of a site, who lists nobody else, chooses among those there. */
export function HolderField(field: HolderFieldProps) {
  const { may } = useOperator();
  return may('person.read') ? <AnybodyField {...field} /> : <AtSiteField {...field} />;
}

function AtSiteField(field: HolderFieldProps) {
  const { api } = useOperator();
  const receivers = useQuery(receiversQuery(api));
  const of = (kind: KeyHolder['kind']) => (receivers.data?.items ?? []).filter((item) => item.kind === kind && field.kinds.includes(kind));
  const groups = [
    { title: text.colleagues, kind: 'person' as const, items: of('person') },
    { title: text.placesHere, kind: 'place' as const, items: of('place') },
  ];
  return <Choice {...field} groups={groups} isLoading={receivers.isLoading} trouble={receivers.isError ? receivers : undefined} />;
}

function AnybodyField(field: HolderFieldProps) {
  const { kinds, cashBox, value } = field;
  const { api, may } = useOperator();
  const asks = (kind: KeyHolder['kind']) => kinds.includes(kind);
  const people = useQuery({ ...peopleQuery(api), enabled: asks('person') && may('person.read') });
  const stores = useQuery({ ...keyStoresQuery(api), enabled: asks('store') && may('key-store.read') });
  const places = useQuery({ ...everyPlaceQuery(api), enabled: asks('place') && may('key-place.read') });
  const exceptions = useQuery({ ...keyExceptionsQuery(api), enabled: cashBox?.movement === 'issued' && may('key-exception.read') });
  const questions = [people, stores, places, exceptions];
  const inForce: readonly KeyException[] = cashBox?.movement === 'issued' ? (exceptions.data ?? []) : [];
  const isOffered = (of: { readonly siteId: string | null; readonly personId: string | null }): boolean => cashBox === undefined || cashBoxKeyMayGoTo(of, { exceptions: inForce, at: cashBox.at });
  // Whom a later choice (another time) rules out stays shown while chosen: what is sent is what is read, and the answer says why it cannot be.
  const isChosen = (kind: KeyHolder['kind'], id: string): boolean => value?.kind === kind && value.id === id;
  const working = (people.data ?? []).filter(({ id, siteId, leftOn }) => (leftOn === null && isOffered({ siteId, personId: id })) || isChosen('person', id));
  const groups = [
    { title: text.own, kind: 'person' as const, items: asks('person') ? working.filter(({ employedBy }) => employedBy === 'operator') : [] },
    { title: text.ofSites, kind: 'person' as const, items: asks('person') ? working.filter(({ employedBy }) => employedBy === 'site') : [] },
    { title: text.stores, kind: 'store' as const, items: asks('store') ? (stores.data ?? []) : [] },
    { title: text.places, kind: 'place' as const, items: asks('place') ? (places.data ?? []).filter(({ id, siteId }) => isOffered({ siteId, personId: null }) || isChosen('place', id)) : [] },
  ];
  return <Choice {...field} hint={cashBox === undefined || exceptions.isLoading || inForce.length > 0 ? undefined : text.cashBoxTo} groups={groups} isLoading={questions.some(({ isLoading }) => isLoading)} trouble={questions.find(({ isError }) => isError)} />;
}

interface ChoiceProps extends Omit<HolderFieldProps, 'kinds' | 'cashBox'> {
  readonly hint?: string | undefined;
  readonly groups: readonly { readonly title: string; readonly kind: KeyHolder['kind']; readonly items: readonly Named[] }[];
  readonly isLoading: boolean;
  readonly trouble: { readonly error: Error | null; readonly refetch: () => unknown } | undefined;
}

function Choice({ id, label, hint, error, value, without, onValue, groups, isLoading, trouble }: ChoiceProps) {
  return (
    <Labelled
      id={id} label={label} hint={hint} error={error}
      control={(tied) => (
        <select {...tied} aria-busy={isLoading} value={value === null ? '' : `${value.kind} ${value.id}`} onChange={(event) => onValue(referenceIn(event.currentTarget.value))}>
          <option value="">{isLoading ? words.loading : words.keys.holdings.choose}</option>
          {groups.filter(({ items }) => items.length > 0).map(({ title, kind, items }) => (
            <optgroup key={title} label={title}>
              {items
                .filter((item) => item.id !== without)
                .map((item) => (
                  <option key={item.id} value={`${kind} ${item.id}`}>
                    {kind === 'place' ? text.atSite(item.name, item.siteCode ?? item.code) : text.named(item.name, item.code)}
                  </option>
                ))}
            </optgroup>
          ))}
        </select>
      )}
    >
      {trouble === undefined ? null : <TroubleNotice error={trouble.error} onRetry={() => void trouble.refetch()} />}
    </Labelled>
  );
}

function referenceIn(value: string): HolderReference | null {
  const [kind, id] = value.split(' ');
  return id !== undefined && (kind === 'person' || kind === 'store' || kind === 'place') ? { kind, id } : null;
}
