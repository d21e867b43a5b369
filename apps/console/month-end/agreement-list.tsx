import { useInfiniteQuery } from '@tanstack/react-query';
import { useDeferredValue, useId, useMemo } from 'react';
import type { AgreementRow, PeriodRow } from '../api/shapes';
import { formatPeriodAlone } from '../format/day';
import { locale } from '../format/locale';
import { useAddressState } from '../parts/address-state';
import { Answer, Blank } from '../parts/answer';
import { useWholeList } from '../parts/whole-list';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { AgreementTable } from './agreement-table';
import { countsOf, filterFrom, filters, narrowed, unusualFirst, unusualIn, type Filter } from './list';
import type { PeriodKey } from './period';
import { agreementsQuery } from './queries';
import styles from './month-end.module.css';

interface AgreementListProps {
  readonly period: PeriodKey;
  readonly row: PeriodRow;
}

/** All agreements of the period. The list is read whole, page by page, so that filter and search answer at once. */
export function AgreementList({ period, row }: AgreementListProps) {
  const { api } = useOperator();
  const question = useInfiniteQuery(agreementsQuery(api, period));
  const { data } = question;
  useWholeList(question);
  const rows = useMemo(() => data?.pages.flatMap((page) => page.items), [data]);
  return (
    <section className="section" id="list" aria-labelledby="list-title">
      <h2 id="list-title">{words.monthEnd.agreements}</h2>
      <Answer question={{ ...question, data: rows }} lines={10}>
        {(all) => (all.length === 0 ? <Blank title={words.monthEnd.noAgreements} /> : <Narrowed rows={all} row={row} />)}
      </Answer>
    </section>
  );
}

const inAddress = {
  read: (parameters: URLSearchParams) => ({ filter: filterFrom(parameters.get('show')), search: parameters.get('find') ?? '' }),
  write: ({ filter, search }: { filter: Filter; search: string }) =>
    new URLSearchParams({ ...(filter === 'all' ? {} : { show: filter }), ...(search === '' ? {} : { find: search }) }),
};

function Narrowed({ rows, row }: { readonly rows: readonly AgreementRow[]; readonly row: PeriodRow }) {
  const [narrowing, setNarrowing] = useAddressState(inAddress);
  const { filter, search } = narrowing;
  // Typing comes first; the list follows when there is time.
  const wanted = useDeferredValue(search);
  const unusual = useMemo(() => unusualIn(rows), [rows]);
  const shown = useMemo(() => unusualFirst(narrowed(rows, { filter, search: wanted }), unusual), [rows, filter, wanted, unusual]);
  return (
    <>
      <Controls
        rows={rows} filter={filter} search={search}
        onFilter={(chosen) => setNarrowing({ ...narrowing, filter: chosen })} onSearch={(typed) => setNarrowing({ ...narrowing, search: typed })}
      />
      <p role="status" className="soft small">
        {words.monthEnd.shown(shown.length, rows.length)}
      </p>
      {shown.length === 0 ? (
        <Blank title={words.monthEnd.noneMatch}>
          <button type="button" className="button" onClick={() => setNarrowing({ filter: 'all', search: '' })}>
            {words.monthEnd.showAll}
          </button>
        </Blank>
      ) : (
        <AgreementTable rows={shown} caption={formatPeriodAlone(row, locale)} early={row.state === 'open'} unusual={unusual} />
      )}
    </>
  );
}

interface ControlsProps {
  readonly rows: readonly AgreementRow[];
  readonly filter: Filter;
  readonly search: string;
  readonly onFilter: (filter: Filter) => void;
  readonly onSearch: (search: string) => void;
}

function Controls({ rows, filter, search, onFilter, onSearch }: ControlsProps) {
  const filterId = useId();
  const searchId = useId();
  const counts = countsOf(rows);
  return (
    <div className={styles.controls} role="search">
      <div className="field">
        <label htmlFor={searchId}>{words.monthEnd.find}</label>
        <input id={searchId} type="search" value={search} autoComplete="off" onChange={(event) => onSearch(event.currentTarget.value)} />
      </div>
      <div className="field">
        <label htmlFor={filterId}>{words.monthEnd.show}</label>
        <select id={filterId} value={filter} onChange={(event) => onFilter(filterFrom(event.currentTarget.value))}>
          {filters.map((each) => (
            <option key={each} value={each}>
              {words.monthEnd.filter(words.monthEnd.filterName[each], counts[each])}
            </option>
          ))}
        </select>
      </div>
    </div>
  );
}
