import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { useParams } from 'react-router';
import { everyPage } from '../../api/every-page';
import type { KeySite, Machine, MachineLock } from '../../api/shapes';
import { dayOf, formatDay } from '../../format/day';
import { locale } from '../../format/locale';
import { Answer, Blank } from '../../parts/answer';
import { Denied } from '../../parts/denied';
import { Page } from '../../parts/page';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { machinesAtQuery, siteQuery } from '../../sites/queries';
import { HoldingsTable } from '../holdings-table';
import { FitAtSites } from './fit-at-sites';
import { ChangeLock, FitLock, RemoveLock } from './lock-forms';
import { OpenButton, SetUpViews } from './parts';
import { Places } from './places';
import { keySitesQuery, locksAtQuery } from './queries';
import styles from './set-up.module.css';

const text = words.keySetUp.site;

/** `keys/sites/:id`: the locks of one site's machines, where keys hang there, and which are with its staff. */
export function KeySitePage() {
  const { siteId = '' } = useParams();
  const { api, may } = useOperator();
  const allowed = may('key-site.read');
  const question = useQuery({ ...siteQuery(api, siteId), enabled: allowed });
  if (!allowed) return <Denied title={words.keySetUp.sites.title} />;
  const site = question.data;
  return (
    <Page title={site?.name ?? words.keySetUp.sites.title} lead={site?.code} actions={<SetUpViews />}>
      <Answer question={question} lines={8}>
        {(found) => (
          <>
            <Locks siteId={siteId} />
            <Places site={{ siteId, siteName: found.name }} />
            <KeysThere siteId={siteId} />
          </>
        )}
      </Answer>
    </Page>
  );
}

interface OfSite {
  readonly siteId: string;
}

function Locks({ siteId }: OfSite) {
  const { api } = useOperator();
  const machines = useQuery(machinesAtQuery(api, siteId));
  const locks = useQuery(locksAtQuery(api, siteId));
  const sites = useQuery(keySitesQuery(api));
  const site = sites.data?.find((each) => each.siteId === siteId);
  return (
    <section className="section" aria-labelledby="locks">
      <h2 id="locks">{text.locks}</h2>
      <Answer question={machines} lines={4}>
        {(items) => <Answer question={locks} lines={4}>{(fitted) => (items.length === 0 ? <Blank title={text.noMachines} /> : <LockTable machines={items} locks={fitted} site={site} />)}</Answer>}
      </Answer>
    </section>
  );
}

type Wish = { readonly kind: 'fit'; readonly machine: Machine } | { readonly kind: 'change' | 'remove'; readonly lock: MachineLock } | { readonly kind: 'fit-all'; readonly site: KeySite };

function LockTable({ machines, locks, site }: { readonly machines: readonly Machine[]; readonly locks: readonly MachineLock[]; readonly site: KeySite | undefined }) {
  const { may } = useOperator();
  const [wish, setWish] = useState<Wish | null>(null);
  const close = () => setWish(null);
  return (
    <>
      {site !== undefined && may('machine-lock.fit') ? (
        <div>
          <OpenButton onClick={() => setWish({ kind: 'fit-all', site })}>{text.fitAll}</OpenButton>
        </div>
      ) : null}
      <table>
        <caption className="visually-hidden">{text.locks}</caption>
        <thead>
          <tr>
            <th scope="col">{words.machine}</th>
            <th scope="col">{text.locks}</th>
          </tr>
        </thead>
        <tbody>
          {machines.map((machine) => (
            <MachineRow key={machine.id} machine={machine} locks={locks.filter(({ machineId }) => machineId === machine.id)} onWish={setWish} />
          ))}
        </tbody>
      </table>
      {wish?.kind === 'fit' ? <FitLock machine={wish.machine} onClose={close} /> : null}
      {wish?.kind === 'fit-all' ? <FitAtSites sites={[wish.site]} onClose={close} /> : null}
      {wish?.kind === 'change' ? <ChangeLock lock={wish.lock} onClose={close} /> : null}
      {wish?.kind === 'remove' ? <RemoveLock lock={wish.lock} onClose={close} /> : null}
    </>
  );
}

function MachineRow({ machine, locks, onWish }: { readonly machine: Machine; readonly locks: readonly MachineLock[]; readonly onWish: (wish: Wish) => void }) {
  const { may } = useOperator();
  // Where both doors have one, another lock is rare enough to begin at the machine's own page of all locks.
  const isComplete = locks.some(({ opens }) => opens === 'everything') || ['play-area', 'cash-box'].every((part) => locks.some(({ opens }) => opens === part));
  return (
    <tr>
      <th scope="row">
        {machine.tag} <span className="soft small">{words.machineKind(machine.kind)}</span>
      </th>
      <td>
        <div className={styles.locks}>
          {[...locks].sort((one, other) => (one.opens < other.opens ? -1 : 1)).map((lock) => (
            <div key={lock.id} className={styles.lock}>
              <span>
                {words.keys.place[lock.opens]}: <strong>{lock.keyCode}</strong> <span className="soft small">{text.since(formatDay(dayOf(new Date(lock.fittedAt)), locale))}</span>
              </span>
              <span className={styles.commands}>
                {may('machine-lock.change') ? <OpenButton about={named(lock)} onClick={() => onWish({ kind: 'change', lock })}>{text.change}</OpenButton> : null}
                {may('machine-lock.remove') ? <OpenButton about={named(lock)} onClick={() => onWish({ kind: 'remove', lock })}>{text.remove}</OpenButton> : null}
              </span>
            </div>
          ))}
          {isComplete ? null : (
            <div className={styles.lock}>
              {locks.length === 0 ? <span className={styles.lack}>{text.noLock}</span> : null}
              {may('machine-lock.fit') ? <OpenButton about={machine.tag} onClick={() => onWish({ kind: 'fit', machine })}>{text.fit}</OpenButton> : null}
            </div>
          )}
        </div>
      </td>
    </tr>
  );
}

const named = (lock: MachineLock): string => text.lockAt({ place: words.keys.place[lock.opens], machine: lock.machineTag });

function KeysThere({ siteId }: OfSite) {
  const { api } = useOperator();
  const question = useQuery({
    queryKey: ['keys', 'holdings', 'at', siteId],
    queryFn: ({ signal }) => everyPage((cursor) => api.keyHoldings({ heldAtSiteId: siteId }, cursor, signal)),
  });
  return (
    <section className="section" aria-labelledby="keys-there">
      <h2 id="keys-there">{text.keys}</h2>
      <Answer question={question} lines={3}>
        {(holdings) => (holdings.length === 0 ? <p className="soft">{text.noKeys}</p> : <HoldingsTable holdings={holdings} />)}
      </Answer>
    </section>
  );
}
