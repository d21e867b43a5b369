import { keepPreviousData, queryOptions, useQuery } from '@tanstack/react-query';
import { useEffect, useId, useRef } from 'react';
import { Link, useSearchParams } from 'react-router';
import type { OperatorApi } from '../api/operator-api';
import type { SearchAnswer } from '../api/shapes';
import { locale } from '../format/locale';
import { formatDay } from '../format/day';
import { useAddressState } from '../parts/address-state';
import { Answer, Blank, Waiting } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { shortcutKeys } from './shortcut';
import styles from './search.module.css';

type Group = SearchAnswer['groups'][number];

const inAddress = {
  read: (parameters: URLSearchParams) => parameters.get('text') ?? '',
  write: (text: string) => new URLSearchParams(text === '' ? {} : { text }),
};

const searchQuery = (api: OperatorApi, text: string) => queryOptions({ queryKey: ['search', text], queryFn: ({ signal }) => api.search(text, signal), placeholderData: keepPreviousData });

/** `search?text=`: everything of the operator by its name, code or number. */
export function SearchPage() {
  const { api, may } = useOperator();
  const [text, setText] = useAddressState(inAddress);
  // The address lags behind the typing: so does the question, which spares the server every letter.
  const asked = (useSearchParams()[0].get('text') ?? '').trim();
  const field = useRef<HTMLInputElement>(null);
  const [fieldId, hintId] = [useId(), useId()];
  const allowed = may('search.read');
  const question = useQuery({ ...searchQuery(api, asked), enabled: allowed && asked.length >= 2 });
  useEffect(() => field.current?.focus(), []);
  if (!allowed) return <Denied title={words.search.title} />;
  return (
    <Page title={words.search.title}>
      <div className="field" role="search">
        <label htmlFor={fieldId}>{words.search.label}</label>
        <input
          ref={field} id={fieldId} type="search" value={text} autoComplete="off" autoCapitalize="off" spellCheck={false} maxLength={100}
          aria-describedby={hintId} onChange={(event) => setText(event.currentTarget.value)}
        />
        <p id={hintId} className="soft small">
          {words.search.hint} <span className={styles.shortcut}>{words.search.shortcut(shortcutKeys)}</span>
        </p>
      </div>
      {asked.length < 2 ? null : <Answer question={question}>{({ groups }) => (question.isPlaceholderData && groups.length === 0 ? <Waiting /> : <Groups groups={groups} text={asked} />)}</Answer>}
    </Page>
  );
}

function Groups({ groups, text }: { readonly groups: readonly Group[]; readonly text: string }) {
  const count = groups.reduce((sum, { items }) => sum + items.length, 0);
  return (
    <>
      <p role="status" className="visually-hidden">
        {count === 0 ? '' : words.search.found(count)}
      </p>
      {count === 0 ? <Blank title={words.search.none(text)} /> : null}
      {groups.map((group) => (
        <OneGroup key={group.kind} group={group} />
      ))}
    </>
  );
}

function OneGroup({ group: { kind, items, more } }: { readonly group: Group }) {
  const { to } = useOperator();
  const headingId = useId();
  return (
    <section aria-labelledby={headingId} className={styles.group}>
      <h2 id={headingId}>{words.search.kinds[kind]}</h2>
      <ul>
        {items.map(({ id, code, name, place, startsOn }) => (
          <li key={id}>
            <Link to={to(pathOf[kind](id))}>
              <span className={name === null ? undefined : 'code'}>{code}</span> {name}
            </Link>
            <span className="soft small">{[place, startsOn === null ? null : formatDay(startsOn, locale)].filter((each) => each !== null).join(', ')}</span>
          </li>
        ))}
      </ul>
      {more ? <p className="soft small">{words.search.more}</p> : null}
    </section>
  );
}

/** Where each kind of thing is told about. */
const pathOf: Readonly<Record<Group['kind'], (id: string) => string>> = {
  site: (id) => `sites/${id}`,
  machine: (id) => `machines/${id}`,
  settlement: (id) => `settlements/${id}`,
  party: (id) => `parties/${id}`,
  person: (id) => `keys/people/${id}`,
  'key-code': (id) => `keys/codes/${id}`,
  'key-copy': (id) => `keys/copies/${id}`,
};
