import { useInfiniteQuery } from '@tanstack/react-query';
import { useDeferredValue, useId, useState } from 'react';
import { Link } from 'react-router';
import type { Machine } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { useAddressState } from '../parts/address-state';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { More } from '../parts/more';
import { Page } from '../parts/page';
import { SelectField } from '../parts/select-field';
import { useOperator } from '../session/operator';
import { OpenButton, SetUpViews } from '../set-up/parts';
import { useSiteNames } from '../sites/site-names';
import { words } from '../words/words';
import { NewMachine } from './machine-forms';
import { MeterTasksNotice } from './meter-tasks';
import { machinesFoundQuery } from './queries';

const text = words.machines;

interface Wanted {
  readonly search: string;
  readonly placed: '' | 'yes' | 'no';
}

const inAddress = {
  read: (parameters: URLSearchParams): Wanted => {
    const placed = parameters.get('placed');
    return { search: parameters.get('find') ?? '', placed: placed === 'yes' || placed === 'no' ? placed : '' };
  },
  write: ({ search, placed }: Wanted) => new URLSearchParams({ ...(search === '' ? {} : { find: search }), ...(placed === '' ? {} : { placed }) }),
};

/** `machines`: every cabinet, found by its tag. */
export function MachinesPage() {
  const { api, may } = useOperator();
  const id = useId();
  const [isAdding, setAdding] = useState(false);
  const [wanted, setWanted] = useAddressState(inAddress);
  const search = useDeferredValue(wanted.search.trim());
  const allowed = may('machine.read');
  const question = useInfiniteQuery({ ...machinesFoundQuery(api, { search, ...(wanted.placed === '' ? {} : { placed: wanted.placed }) }), enabled: allowed, placeholderData: (before) => before });
  if (!allowed) return <Denied title={text.title} />;
  const found = question.data?.pages.flatMap((page) => page.items);
  // Also while the answer is still that to an earlier search: the field must not go from under who types in it.
  const isNarrowed = wanted.search !== '' || wanted.placed !== '' || question.isPlaceholderData;
  const add = may('machine.create') ? <OpenButton main onClick={() => setAdding(true)}>{text.add}</OpenButton> : null;
  return (
    <Page title={text.title} lead={text.lead} actions={<SetUpViews />}>
      <MeterTasksNotice />
      <Answer question={{ ...question, data: found }} lines={10}>
        {(machines) =>
          machines.length === 0 && !isNarrowed ? (
            <Blank title={text.none}>
              <p>{text.noneWhat}</p>
              {add}
            </Blank>
          ) : (
            <>
              <div>{add}</div>
              <div className="form">
                <div className="field" role="search">
                  <label htmlFor={`${id}-find`}>{text.find}</label>
                  <input id={`${id}-find`} type="search" value={wanted.search} autoComplete="off" onChange={(event) => setWanted({ ...wanted, search: event.currentTarget.value })} />
                </div>
                <SelectField
                  id={`${id}-placed`} label={text.shown} value={wanted.placed} none={text.all} options={[{ value: 'yes', text: text.atSites }, { value: 'no', text: text.inShop }]}
                  onValue={(placed) => setWanted({ ...wanted, placed: placed === 'yes' || placed === 'no' ? placed : '' })}
                />
              </div>
              <p role="status" className="soft small">
                {machines.length > 0 ? text.found(machines.length, question.hasNextPage) : question.isPlaceholderData ? words.loading : text.noneFound}
              </p>
              {machines.length === 0 ? null : <Machines machines={machines} />}
              <More question={question} />
            </>
          )
        }
      </Answer>
      {isAdding ? <NewMachine siteId={null} onClose={() => setAdding(false)} /> : null}
    </Page>
  );
}

function Machines({ machines }: { readonly machines: readonly Machine[] }) {
  const { to } = useOperator();
  const siteNamed = useSiteNames();
  return (
    <table>
      <caption className="visually-hidden">{text.title}</caption>
      <thead>
        <tr>
          <th scope="col">{text.machine}</th>
          <th scope="col">{text.kind}</th>
          <th scope="col">{text.where}</th>
        </tr>
      </thead>
      <tbody>
        {machines.map(({ id, tag, kind, placement, disposedOn }) => (
          <tr key={id}>
            <th scope="row">
              <Link to={to(`machines/${id}`)}>{tag}</Link>
            </th>
            <td>{words.machineKind(kind)}</td>
            <td>
              {placement === null ? (
                <span className="soft">{disposedOn === null ? text.inShop : text.disposed(formatDay(disposedOn, locale))}</span>
              ) : (
                <Link to={to(`sites/${placement.siteId}`)}>{siteNamed(placement.siteCode)}</Link>
              )}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
