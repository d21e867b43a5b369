import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-router';
import type { OpenItem, PartyAccount } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney, isNegative, isZero, negated } from '../format/money';
import { Amount } from '../parts/amount';
import { Answer } from '../parts/answer';
import { DatedBooking, ReasonedBooking } from '../parts/booking-fields';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import styles from './payments.module.css';
import { atSite, openItemsQuery } from './queries';
import { RecordPayment } from './record-payment';

interface OpenItemsProps {
  readonly siteId: string;
  readonly account: PartyAccount;
  /** The rest of the page is of an earlier day. */
  readonly earlier: boolean;
}

/** What settlements left to be paid under one agreement, whoever owes it, and the way to record a payment of it. */
export function OpenItems({ siteId, account, earlier }: OpenItemsProps) {
  const { api, may } = useOperator();
  const [recording, setRecording] = useState(false);
  const question = useQuery({ ...openItemsQuery(api, siteId), enabled: may('open-item.read') });
  const text = words.openItems;
  if (!may('open-item.read')) return null;
  return (
    <div className="stack">
      <h3>{text.title}</h3>
      {earlier ? <p className="soft small">{text.now}</p> : null}
      <Answer question={question} lines={3}>
        {(all) => {
          const items = itemsOf(account, all);
          return (
            <>
              {items.length === 0 ? <p className="soft">{text.none}</p> : <ItemTable siteId={siteId} items={items} name={account.partyName} />}
              {may('payment.record') ? (
                <div>
                  <button type="button" className="button" onClick={() => setRecording(true)}>
                    {words.payments.record}
                  </button>
                </div>
              ) : null}
              {recording ? <RecordPayment siteId={siteId} account={account} items={items} onClose={() => setRecording(false)} /> : null}
            </>
          );
        }}
      </Answer>
    </div>
  );
}

/** The oldest first, as they are paid. */
function itemsOf({ agreementId, partyId }: PartyAccount, items: readonly OpenItem[]): OpenItem[] {
  return items
    .filter((item) => item.agreementId === agreementId && item.partyId === partyId)
    .sort((one, other) => one.datedOn.localeCompare(other.datedOn) || one.number.localeCompare(other.number));
}

type Change = 'hold' | 'release' | 'writeOff' | 'undo';

function ItemTable({ siteId, items, name }: { readonly siteId: string; readonly items: readonly OpenItem[]; readonly name: string }) {
  const { may, to } = useOperator();
  const [asked, setAsked] = useState<{ readonly item: OpenItem; readonly change: Change } | null>(null);
  const text = words.openItems;
  const changes = may('open-item.hold') || may('open-item.write-off');
  const commandsOf = ({ state }: OpenItem): Change[] => [
    ...(may('open-item.hold') && state !== 'written-off' ? [state === 'disputed' ? ('release' as const) : ('hold' as const)] : []),
    ...(may('open-item.write-off') && state !== 'disputed' ? [state === 'written-off' ? ('undo' as const) : ('writeOff' as const)] : []),
  ];
  return (
    <Wide title={`${text.title}: ${name}`}>
      <table className={styles.blocks}>
        <caption className="visually-hidden">{`${text.title}: ${name}`}</caption>
        <thead>
          <tr>
            <th scope="col">{text.statement}</th>
            <th scope="col">{text.from}</th>
            <th scope="col">{words.state}</th>
            <th scope="col" className="figure">
              {text.open}
            </th>
            {changes ? <th scope="col">{words.commands}</th> : null}
          </tr>
        </thead>
        <tbody>
          {items.map((item) => (
            <tr key={item.id}>
              <th scope="row">{may('settlement.read') ? <Link to={to(`settlements/${item.settlementId}`)}>{item.number}</Link> : item.number}</th>
              <td>{formatDay(item.datedOn, locale)}</td>
              <td>{text.state[item.state]}</td>
              <td className="figure">
                <Amount money={item.open} />
              </td>
              {changes ? (
                <td>
                  <div className={styles.commands}>
                    {commandsOf(item).map((change) => (
                      <button key={change} type="button" className="button button-small" aria-label={text.commandFor(text[change], item.number)} onClick={() => setAsked({ item, change })}>
                        {text[change]}
                      </button>
                    ))}
                  </div>
                </td>
              ) : null}
            </tr>
          ))}
        </tbody>
      </table>
      {asked === null ? null : <ItemChange siteId={siteId} {...asked} onClose={() => setAsked(null)} />}
    </Wide>
  );
}

function ItemChange({ siteId, item, change, onClose }: { readonly siteId: string; readonly item: OpenItem; readonly change: Change; readonly onClose: () => void }) {
  const { api } = useOperator();
  const { id } = item;
  const shared = { title: words.openItems.commandFor(words.openItems[change], item.number), action: words.openItems[change], books: sentences(item, change), refresh: atSite(siteId), onClose };
  if (change === 'hold' || change === 'release') {
    const send = change === 'hold' ? api.holdItem : api.releaseItem;
    return <ReasonedBooking {...shared} send={(reason, key) => send({ id, reason }, key)} />;
  }
  const send = change === 'writeOff' ? api.writeOffItem : api.undoWriteOff;
  return <DatedBooking {...shared} send={(body, key) => send({ id, ...body }, key)} />;
}

function sentences({ number, open, writtenOff, partyName: party }: OpenItem, change: Change): string[] {
  const text = words.openItems.books;
  switch (change) {
    case 'hold':
      return [text.hold(number)];
    case 'release':
      return [text.release(number)];
    case 'writeOff':
      return [isNegative(open) ? text.writeOffOwed({ number, open: formatMoney(negated(open), locale), party }) : text.writeOff({ number, open: formatMoney(open, locale), party })];
    case 'undo':
      return [text.undo({ number, amount: formatMoney(isZero(writtenOff) || !isNegative(writtenOff) ? writtenOff : negated(writtenOff), locale) })];
  }
}
