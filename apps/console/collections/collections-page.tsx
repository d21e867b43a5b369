import { useInfiniteQuery, useQuery } from '@tanstack/react-query';
import { useId } from 'react';
import { Link } from 'react-router';
import type { CollectionFilter } from '../api/collections-api';
import { formatPeriod } from '../format/day';
import { locale } from '../format/locale';
import { useAddressParameters } from '../parts/address-parameters';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { More } from '../parts/more';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { useForgettingCounted } from './use-kept-count';
import { AcceptAll } from './accept';
import { CollectionTable } from './collection-table';
import { filterFrom } from './filter';
import { collectionsQuery } from './queries';
import { SelectField } from '../parts/select-field';
import { everySiteQuery } from '../keys/queries';
import { MeterTasksNotice } from '../machines/meter-tasks';
import { UncountedNotice } from './uncounted';
import styles from './collections.module.css';

/** `collections`: the visits, the latest first; those that wait are accepted here. */
export function CollectionsPage() {
  const { may, to } = useOperator();
  const [parameters, change] = useAddressParameters();
  const filter = filterFrom(parameters);
  if (!may('collection.read')) return <Denied title={words.collections.title} />;
  const links = [
    { path: 'collections/enter', title: words.collections.enterVisit, shown: may('collection.create') && may('person.read') },
    { path: 'rounds', title: words.collections.rounds, shown: may('collection-due.read') },
    { path: 'collections/refunds', title: words.refundClaims.title, shown: may('refund-claim.read') },
    { path: 'collections/cash', title: words.collections.cashOfDay, shown: may('cash-trail.read') },
    { path: 'collections/cards', title: words.besideCounts.cards.title, shown: may('cashless.read') },
    { path: 'collections/break-ins', title: words.besideCounts.breakIns.title, shown: may('break-in.read') },
    { path: 'collections/imports', title: words.imports.title, shown: may('import.read') },
  ].filter(({ shown }) => shown);
  const beside = (
    <div className="row">
      {links.map(({ path, title }) => (
        <Link key={path} className="button" to={to(path)}>
          {title}
        </Link>
      ))}
    </div>
  );
  return (
    <Page title={words.collections.title} lead={daysOf(filter)} actions={links.length === 0 ? undefined : beside}>
      <UncountedNotice />
      <MeterTasksNotice />
      <div className={styles.asking}>
        <StateChoice state={filter.state ?? 'all'} onChoose={(state) => change({ state: state === 'all' ? undefined : state })} />
        {may('site.read') ? <SiteChoice siteId={filter.siteId ?? ''} onChoose={(siteId) => change({ siteId })} /> : null}
      </div>
      <Found key={JSON.stringify(filter)} filter={filter} />
    </Page>
  );
}

function daysOf({ from, before }: CollectionFilter): string | undefined {
  if (from === undefined || before === undefined) return undefined;
  return words.collections.bookedIn(formatPeriod({ startsOn: from, endsBefore: before }, locale));
}

interface StateChoiceProps {
  readonly state: 'all' | NonNullable<CollectionFilter['state']>;
  readonly onChoose: (state: string) => void;
}

function StateChoice({ state, onChoose }: StateChoiceProps) {
  const selectId = useId();
  return (
    <div className="field">
      <label htmlFor={selectId}>{words.collections.show}</label>
      <select id={selectId} value={state} onChange={(event) => onChoose(event.currentTarget.value)}>
        <option value="all">{words.collections.all}</option>
        {(['counted', 'open', 'accepted', 'discarded'] as const).map((each) => (
          <option key={each} value={each}>
            {words.collectionState[each]}
          </option>
        ))}
      </select>
    </div>
  );
}

function SiteChoice({ siteId, onChoose }: { readonly siteId: string; readonly onChoose: (siteId: string) => void }) {
  const { api } = useOperator();
  const sites = useQuery(everySiteQuery(api));
  return (
    <SelectField
      id="collections-of" label={words.site} value={siteId} none={words.variances.report.everySite} isLoading={sites.isLoading} onValue={onChoose}
      options={(sites.data ?? []).map((site) => ({ value: site.id, text: `${site.name} (${site.code})` }))}
    />
  );
}

function Found({ filter }: { readonly filter: CollectionFilter }) {
  const { api } = useOperator();
  const question = useInfiniteQuery(collectionsQuery(api, filter));
  useForgettingCounted(question.dataUpdatedAt);
  const found = question.data?.pages.flatMap((page) => page.items);
  return (
    <Answer question={{ ...question, data: found }} lines={8}>
      {(collections) =>
        collections.length === 0 ? (
          <Blank title={words.collections.none} />
        ) : (
          <div className="stack">
            <AcceptAll collections={collections} />
            <CollectionTable collections={collections} caption={words.collections.title} withSite />
            <More question={question} />
          </div>
        )
      }
    </Answer>
  );
}
