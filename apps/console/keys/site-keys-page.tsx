import { useQuery } from '@tanstack/react-query';
import { everyPage } from '../api/every-page';
import type { KeyHolding, KeyPlace } from '../api/shapes';
import { Answer, Blank } from '../parts/answer';
import { Download } from '../parts/download';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { OwnInventories } from './own/own-inventories';
import { ToConfirm } from './own/to-confirm';
import { Moment, OutsideCopies } from './parts';
import { everyPlaceQuery } from './queries';
import { RecordButton } from './record/record-button';
import styles from './keys.module.css';

const text = words.keys.atSites;
const own = words.custody.ownKeys;

/** `keys` for a site manager: the access keys with their own staff, where each hangs, and who may take it. */
export function SiteKeysPage() {
  const { api } = useOperator();
  const holdings = useQuery({ queryKey: ['keys', 'holdings', 'own-sites'], queryFn: ({ signal }) => everyPage((cursor) => api.keyHoldings({}, cursor, signal)) });
  const places = useQuery(everyPlaceQuery(api));
  return (
    <Page title={text.title} lead={text.lead}>
      <ToConfirm />
      <OwnInventories />
      <Answer question={holdings} lines={5}>
        {(held) => (
          <Answer question={places} lines={5}>
            {(known) =>
              held.length === 0 ? (
                <Blank title={text.none}>
                  <p>{text.noneWhat}</p>
                </Blank>
              ) : (
                <>
                  <OutsideCopies codes={held.filter(({ outsideCopies }) => outsideCopies).map(({ code }) => code)} />
                  <ul aria-label={text.title}>
                    {held.map((holding) => (
                      <HeldKey key={holding.keyCopyId} holding={holding} place={known.find(({ id }) => id === holding.where.holder?.id)} />
                    ))}
                  </ul>
                  <Download file={() => api.keyHoldingsFile({})} />
                </>
              )
            }
          </Answer>
        )}
      </Answer>
    </Page>
  );
}

function HeldKey({ holding, place }: { readonly holding: KeyHolding; readonly place: KeyPlace | undefined }) {
  const { membership } = useOperator();
  const { number, code, machines, where } = holding;
  const { holder } = where;
  const users = place?.users.filter(({ until }) => until === null).map(({ name }) => name) ?? [];
  return (
    <li className={styles.held}>
      <h2>
        {number} <span className="soft small">{text.code(code)}</span>
      </h2>
      {holder === null ? <p className="state state-alarm">{words.keys.state.missing}</p> : (
        <p>
          {place === undefined ? text.with(holder.name) : text.hangs(holder.name)}
          {membership.siteIds.length > 1 && holder.siteCode !== null ? <span className="soft small">{` ${words.keys.openers.ofSite(holder.siteCode)}`}</span> : null}
        </p>
      )}
      {place === undefined ? null : <p>{text.users({ responsible: place.responsible.name, users })}</p>}
      <p className="soft">{text.opens(machines)}</p>
      <p className="soft small">
        {words.keys.since} <Moment instant={where.since} />
        {where.dueBackAt === null ? null : <>, {words.keys.dueBack} <Moment instant={where.dueBackAt} /></>}
      </p>
      {where.state === 'held' ? (
        <div className="row">
          <RecordButton copy={holding} size="large" movements={['handed-over']} label={own.handOn} reason={own.handedReason} />
          <RecordButton copy={holding} size="large" movements={['reported-missing']} label={own.lost} reason={own.lostReason} />
        </div>
      ) : null}
    </li>
  );
}
