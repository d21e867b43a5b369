import { useInfiniteQuery, useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { Link } from 'react-router';
import { addDays, isLocalDate } from '#domain/calendar/local-date';
import type { KeyFindingsFilter } from '../api/keys-api';
import type { CollectionKeyCheck } from '../api/shapes';
import { useAddressParameters } from '../parts/address-parameters';
import { Answer } from '../parts/answer';
import { Download } from '../parts/download';
import { Field } from '../parts/field';
import { More } from '../parts/more';
import { SelectField } from '../parts/select-field';
import { TitledTable } from '../parts/titled-table';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import styles from './keys.module.css';
import { Moment } from './parts';
import { everySiteQuery, peopleQuery, withoutKeyQuery } from './queries';

const text = words.keys.attention;

/** Collections made without a fitting key: of the last quarter of a year, or of the days, the site and the person that the address names. */
export function WithoutKey() {
  const { api } = useOperator();
  const [parameters, change] = useAddressParameters();
  const filter = filterFrom(parameters);
  const question = useInfiniteQuery(withoutKeyQuery(api, filter));
  const checks = question.data?.pages.flatMap((page) => page.items);
  return (
    <>
      <Answer question={{ ...question, data: checks }} lines={4}>
        {(found) => (
          <>
            <Collections checks={found} none={Object.keys(filter).length === 0 ? text.noCollections : text.noCollectionsFound} />
            <More question={question} />
          </>
        )}
      </Answer>
      <Asking parameters={parameters} onChange={change} />
      {checks === undefined || checks.length === 0 ? null : <Download text={text.downloadCollections} file={() => api.collectionsWithoutKeyFile(filter)} />}
    </>
  );
}

/** The last day counts with what was asked for; the api takes the day after it. */
function filterFrom(parameters: URLSearchParams): KeyFindingsFilter {
  const [since, until, siteId, personId] = [parameters.get('since') ?? '', parameters.get('until') ?? '', parameters.get('site') ?? '', parameters.get('person') ?? ''];
  return {
    ...(isLocalDate(since) ? { from: since } : {}),
    ...(isLocalDate(until) ? { before: addDays(until, 1) } : {}),
    ...(siteId === '' ? {} : { siteId }),
    ...(personId === '' ? {} : { personId }),
  };
}

interface AskingProps {
  readonly parameters: URLSearchParams;
  readonly onChange: (changes: Readonly<Record<string, string>>) => void;
}

function Asking({ parameters, onChange }: AskingProps) {
  const { api, may } = useOperator();
  const id = useId();
  // As it was when the page came: it does not fold under the hand of whoever clears the last choice.
  const [isAsked] = useState(() => ['since', 'until', 'site', 'person'].some((name) => parameters.has(name)));
  const sites = useQuery({ ...everySiteQuery(api), enabled: may('site.read') });
  const people = useQuery({ ...peopleQuery(api), enabled: may('person.read') });
  const named = (options: readonly { readonly id: string; readonly name: string; readonly code: string }[] | undefined) => (options ?? []).map((each) => ({ value: each.id, text: `${each.name} (${each.code})` }));
  return (
    <details open={isAsked}>
      <summary>{text.narrow}</summary>
      <div className={styles.asking}>
        <Field id={`${id}-since`} type="date" label={text.sinceDay} hint={text.sinceHint} defaultValue={parameters.get('since') ?? ''} onValue={(since) => onChange({ since })} />
        <Field id={`${id}-until`} type="date" label={text.untilDay} defaultValue={parameters.get('until') ?? ''} onValue={(until) => onChange({ until })} />
        {may('site.read') ? (
          <SelectField id={`${id}-site`} label={words.site} none={text.everySite} isLoading={sites.isLoading} value={parameters.get('site') ?? ''} options={named(sites.data)} onValue={(site) => onChange({ site })} />
        ) : null}
        {may('person.read') ? (
          <SelectField id={`${id}-person`} label={text.keyHolder} none={text.everybody} isLoading={people.isLoading} value={parameters.get('person') ?? ''} options={named(people.data)} onValue={(person) => onChange({ person })} />
        ) : null}
      </div>
    </details>
  );
}

function Collections({ checks, none }: { readonly checks: readonly CollectionKeyCheck[]; readonly none: string }) {
  const { to } = useOperator();
  const rows = checks.map(({ collectionId, happenedAt, timeZone, siteName, keyHolder, machines }) => (
    <tr key={collectionId}>
      <th scope="row">
        <Link to={to(`collections/${collectionId}`)}>
          <Moment instant={happenedAt} timeZone={timeZone} />
        </Link>
      </th>
      <td>{siteName}</td>
      <td>{keyHolder === null ? <span className="soft">{text.nobodyNamed}</span> : keyHolder.name}</td>
      <td>{machines.flatMap(({ machineTag, lacking }) => (lacking.length === 0 ? [] : [machineTag])).join(', ')}</td>
    </tr>
  ));
  return <TitledTable id="collections" title={text.collections} none={none} columns={[text.visit, words.site, text.keyHolder, text.lacking]} rows={rows} />;
}
