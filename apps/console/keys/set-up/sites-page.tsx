import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-router';
import type { KeySite } from '../../api/shapes';
import { useAddressState } from '../../parts/address-state';
import { Answer, Blank } from '../../parts/answer';
import { Denied } from '../../parts/denied';
import { Page } from '../../parts/page';
import { SelectField } from '../../parts/select-field';
import { Wide } from '../../parts/wide';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { FitAtSites } from './fit-at-sites';
import { HandOut } from './hand-out';
import { attentionQuery } from '../queries';
import { OpenButton, SetUpViews } from './parts';
import { keySitesQuery } from './queries';
import { lacks, narrowed, type Lack } from './sites';
import keyStyles from '../keys.module.css';
import styles from './set-up.module.css';

const text = words.keySetUp.sites;

const inAddress = {
  read: (parameters: URLSearchParams) => ({ search: parameters.get('find') ?? '', lack: lacks.find((each) => each === parameters.get('show')) ?? 'all' }),
  write: ({ search, lack }: { search: string; lack: Lack }) => new URLSearchParams({ ...(search === '' ? {} : { find: search }), ...(lack === 'all' ? {} : { show: lack }) }),
};

/** `keys/sites`: every site with its locks and keys, and the way to do the same at many of them. */
export function KeySitesPage() {
  const { api, may } = useOperator();
  const [handing, setHanding] = useState<readonly KeySite[] | null>(null);
  const allowed = may('key-site.read');
  const question = useQuery({ ...keySitesQuery(api), enabled: allowed });
  const attention = useQuery({ ...attentionQuery(api), enabled: allowed });
  if (!allowed) return <Denied title={text.title} />;
  if (handing !== null) return <HandOut sites={handing} onClose={() => setHanding(null)} />;
  return (
    <Page title={text.title} lead={may('machine-lock.fit') ? text.lead : undefined} actions={<SetUpViews />}>
      <Answer question={question} lines={10}>
        {(sites) => (sites.length === 0 ? <Blank title={text.none}><p>{text.noneWhat}</p></Blank> : <Answer question={attention} lines={10}>{({ withoutAccessKey }) => <Sites sites={sites} uncovered={new Set(withoutAccessKey.map(({ siteId }) => siteId))} onHandOut={setHanding} />}</Answer>)}
      </Answer>
    </Page>
  );
}

interface SitesProps {
  readonly sites: readonly KeySite[];
  readonly uncovered: ReadonlySet<string>;
  readonly onHandOut: (sites: readonly KeySite[]) => void;
}

function Sites({ sites, uncovered, onHandOut }: SitesProps) {
  const { may } = useOperator();
  const [filter, setFilter] = useAddressState(inAddress);
  const [marked, setMarked] = useState<ReadonlySet<string>>(new Set());
  const [isFitting, setFitting] = useState(false);
  const shown = narrowed(sites, { ...filter, uncovered });
  const complete = sites.length - narrowed(sites, { search: '', lack: filter.lack, uncovered }).length;
  const chosen = sites.filter((site) => marked.has(site.siteId));
  const mayFit = may('machine-lock.fit');
  return (
    <>
      <div className={keyStyles.asking}>
        <div className="field" role="search">
          <label htmlFor="find-site">{text.find}</label>
          <input id="find-site" type="search" autoComplete="off" value={filter.search} onChange={(event) => setFilter({ ...filter, search: event.currentTarget.value })} />
        </div>
        <SelectField
          id="show-sites" label={text.show} value={filter.lack} options={lacks.map((each) => ({ value: each, text: text.shows[each] }))}
          onValue={(value) => setFilter({ ...filter, lack: lacks.find((each) => each === value) ?? 'all' })}
        />
      </div>
      <div className={styles.marking}>
        {mayFit ? (
          <label className={styles.siteName}>
            <span className={styles.target}>
              <input
                type="checkbox" className={styles.mark} checked={shown.length > 0 && shown.every((site) => marked.has(site.siteId))}
                onChange={(event) => setMarked(event.currentTarget.checked ? new Set([...marked, ...shown.map(({ siteId }) => siteId)]) : new Set())}
              />
            </span>
            {text.markAll}
          </label>
        ) : null}
        <span role="status" className="soft small">
          {chosen.length === 0 ? text.shown(shown.length, sites.length) : text.marked(chosen.length)}
        </span>
        {chosen.length === 0 ? null : (
          <>
            <OpenButton onClick={() => setFitting(true)}>{text.fit}</OpenButton>
            <OpenButton onClick={() => onHandOut(chosen)}>{text.handOut}</OpenButton>
          </>
        )}
      </div>
      {(filter.lack === 'cash-box' || filter.lack === 'play-area') && complete > 0 ? (
        <p className="soft">
          {text.complete(complete)}{' '}
          <button type="button" className="button button-small" onClick={() => setFilter({ ...filter, lack: 'all' })}>
            {text.listThem}
          </button>
        </p>
      ) : null}
      <SiteTable sites={shown} marked={mayFit ? marked : null} onMarked={setMarked} />
      {isFitting ? <FitAtSites sites={chosen} onClose={() => setFitting(false)} /> : null}
    </>
  );
}

interface SiteTableProps {
  readonly sites: readonly KeySite[];
  /** Null for whoever may only look. */
  readonly marked: ReadonlySet<string> | null;
  readonly onMarked: (marked: ReadonlySet<string>) => void;
}

function SiteTable({ sites, marked, onMarked }: SiteTableProps) {
  const mark = (siteId: string, isMarked: boolean) => {
    const next = new Set(marked);
    if (isMarked) next.add(siteId);
    else next.delete(siteId);
    onMarked(next);
  };
  return (
    <Wide title={text.title}>
      <table>
        <caption className="visually-hidden">{text.title}</caption>
        <thead>
          <tr>
            <th scope="col">{words.site}</th>
            <th scope="col">{text.cashBox}</th>
            <th scope="col">{text.playArea}</th>
            <th scope="col">{text.cuts}</th>
            <th scope="col" className="figure">{text.keys}</th>
          </tr>
        </thead>
        <tbody>
          {sites.map((site) => (
            <SiteRow key={site.siteId} site={site} isMarked={marked === null ? null : marked.has(site.siteId)} onMark={(isMarked) => mark(site.siteId, isMarked)} />
          ))}
        </tbody>
      </table>
    </Wide>
  );
}

function SiteRow({ site, isMarked, onMark }: { readonly site: KeySite; readonly isMarked: boolean | null; readonly onMark: (isMarked: boolean) => void }) {
  const { to } = useOperator();
  const { siteId, siteCode, siteName, machines, cashBoxLocked, playAreaLocked, cuts, copies } = site;
  return (
    <tr>
      <th scope="row">
        <span className={styles.siteName}>
          {isMarked === null ? null : (
            <span className={styles.target}>
              <input type="checkbox" className={styles.mark} aria-label={text.mark(siteName)} checked={isMarked} onChange={(event) => onMark(event.currentTarget.checked)} />
            </span>
          )}
          <span>
            <Link to={to(`keys/sites/${siteId}`)}>{siteName}</Link> <span className="code small">{siteCode}</span>
          </span>
        </span>
      </th>
      <td>
        <Share part={cashBoxLocked} whole={machines} />
      </td>
      <td>
        <Share part={playAreaLocked} whole={machines} />
      </td>
      <td>
        {cuts.map(({ keyCodeId, code }, index) => (
          <span key={keyCodeId} className={keyStyles.whole}>
            {index + 1 < cuts.length ? `${code}, ` : code}
          </span>
        ))}
      </td>
      <td className="figure">{copies === 0 && machines > 0 ? <span className={styles.lack}>{copies}</span> : copies}</td>
    </tr>
  );
}

function Share({ part, whole }: { readonly part: number; readonly whole: number }) {
  if (whole === 0) return <span className="soft">{text.noMachines}</span>;
  return <span className={part < whole ? `${styles.lack} ${keyStyles.whole}` : keyStyles.whole}>{text.of(part, whole)}</span>;
}
