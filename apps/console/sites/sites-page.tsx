import { useInfiniteQuery } from '@tanstack/react-query';
import { useId, useMemo, useState } from 'react';
import { Link } from 'react-router';
import type { Site } from '../api/shapes';
import { matches } from '../format/search';
import { useAddressState } from '../parts/address-state';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { useWholeList } from '../parts/whole-list';
import { useOperator } from '../session/operator';
import { OpenButton, SetUpViews } from '../set-up/parts';
import { words } from '../words/words';
import { sitesQuery } from './queries';
import { NewSite } from './site-forms';

/** `sites`: all places where machines stand. */
export function SitesPage() {
  const { api, may, to } = useOperator();
  const [isAdding, setAdding] = useState(false);
  const allowed = may('site.read');
  const question = useInfiniteQuery({ ...sitesQuery(api), enabled: allowed });
  const { data } = question;
  useWholeList(question);
  const sites = useMemo(() => data?.pages.flatMap((page) => page.items), [data]);
  if (!allowed) return <Denied title={words.sites.title} />;
  const add = may('site.create') ? <OpenButton main onClick={() => setAdding(true)}>{words.setUp.sites.add}</OpenButton> : null;
  return (
    <Page title={words.sites.title} actions={<SetUpViews />}>
      <Answer question={{ ...question, data: sites }} lines={10}>
        {(found) =>
          found.length === 0 ? (
            <Blank title={words.sites.none}>{add}</Blank>
          ) : (
            <>
              <div className="row">
                {add}
                {may('what-if.preview') ? <Link to={to('what-if')}>{words.whatIf.link}</Link> : null}
              </div>
              <Found sites={found} />
            </>
          )
        }
      </Answer>
      {isAdding ? <NewSite codes={(sites ?? []).map(({ code }) => code)} onClose={() => setAdding(false)} /> : null}
    </Page>
  );
}

const inAddress = {
  read: (parameters: URLSearchParams) => parameters.get('find') ?? '',
  write: (search: string) => new URLSearchParams(search === '' ? {} : { find: search }),
};

function Found({ sites }: { readonly sites: readonly Site[] }) {
  const { to } = useOperator();
  const [search, setSearch] = useAddressState(inAddress);
  const searchId = useId();
  const shown = sites.filter(({ code, name, address }) => matches(search, [code, name, ...address]));
  return (
    <>
      <div className="field" role="search">
        <label htmlFor={searchId}>{words.sites.find}</label>
        <input
          id={searchId} type="search" value={search} autoComplete="off"
          onChange={(event) => setSearch(event.currentTarget.value)}
        />
      </div>
      <p role="status" className="soft small">
        {words.sites.shown(shown.length, sites.length)}
      </p>
      <table>
        <caption className="visually-hidden">{words.sites.title}</caption>
        <thead>
          <tr>
            <th scope="col">{words.site}</th>
            <th scope="col">{words.sites.address}</th>
            <th scope="col">{words.sites.currency}</th>
          </tr>
        </thead>
        <tbody>
          {shown.map((site) => (
            <tr key={site.id}>
              <th scope="row">
                <Link to={to(`sites/${site.id}`)}>{site.name}</Link> <span className="code small">{site.code}</span>
                {site.closedOn === null ? null : <span className="soft small">{` ${words.sites.closed}`}</span>}
              </th>
              <td>{site.address.join(', ')}</td>
              <td>{site.currency}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </>
  );
}
