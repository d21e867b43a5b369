import { useInfiniteQuery } from '@tanstack/react-query';
import { useState, type MouseEvent, type ReactNode } from 'react';
import { flushSync } from 'react-dom';
import { Link } from 'react-router';
import type { SiteView } from '../api/shapes';
import { formatInstant, formatPeriod, formatPeriodAlone } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney, isZero, type Money } from '../format/money';
import { Amount } from '../parts/amount';
import { Blank } from '../parts/answer';
import { More } from '../parts/more';
import { focusOn } from '../parts/move-focus';
import { StatementLink } from '../parts/statement-link';
import { TroubleNotice } from '../parts/trouble';
import { useOperator } from '../session/operator';
import { settlementsOfQuery } from '../sites/queries';
import { words } from '../words/words';
import styles from './share.module.css';

type OwnSite = SiteView['sites'][number];
type OwnSettlement = OwnSite['settlements'][number];

/** More of them would put what follows out of sight on a phone. */
const lastStatements = 6;

/** What the button below a list does that shows the first of its entries: it goes, and the focus passes to the first of those that it brings. */
export function showRest({ currentTarget }: MouseEvent<HTMLButtonElement>, { shown, show }: { readonly shown: number; readonly show: () => void }): void {
  const list = currentTarget.parentElement?.previousElementSibling;
  flushSync(show);
  focusOn(list?.children[shown]);
}

/** The statements of a site, the newest first: a handful, then all of them page by page. */
export function Statements({ site }: { readonly site: OwnSite }) {
  const { to, may } = useOperator();
  const [isWhole, setWhole] = useState(false);
  const shown = isWhole ? site.settlements : site.settlements.slice(0, lastStatements);
  const isCut = shown.length < site.settlements.length;
  return (
    <section className="section" aria-labelledby="statements">
      <h2 id="statements">{words.share.statements}</h2>
      {site.settlements.length === 0 ? null : <p className="soft">{words.share.statementsLead}</p>}
      {site.settlements.length === 0 ? (
        <Blank title={words.share.noStatements} />
      ) : (
        <ul className={styles.statements}>
          {shown.map((each) => (
            <Statement key={each.id} settlement={each} payable={each.payable} isNew={each.isNew}>
              <Paid payment={each.payment} />
              <span className={styles.get}>{each.statementAvailable ? <StatementLink settlementId={each.id} about={formatPeriod(each, locale)} /> : <span className="soft small">{words.statement.inPreparation}</span>}</span>
              {each.question === null ? null : <Asked settlement={each.id} question={each.question} />}
            </Statement>
          ))}
        </ul>
      )}
      {isCut ? (
        <div>
          <button type="button" className="button" onClick={(event) => showRest(event, { shown: shown.length, show: () => setWhole(true) })}>
            {words.share.allStatements}
          </button>
        </div>
      ) : null}
      {isWhole ? <Older site={site} /> : null}
      {site.settlements.length === 0 ? null : (
        <p>
          <a href="/verifier.html">{words.signature.check}</a>
        </p>
      )}
      {may('site-account.read') ? (
        <p>
          <Link to={to(`sites/${site.siteId}/account`)}>{words.share.account}</Link>
        </p>
      ) : null}
    </section>
  );
}

/** Those before the ones that the front page is given with what was paid of them. */
function Older({ site: { siteId, settlements } }: { readonly site: OwnSite }) {
  const { api } = useOperator();
  const question = useInfiniteQuery(settlementsOfQuery(api, siteId));
  const known = new Set(settlements.map(({ id }) => id));
  const older = (question.data?.pages ?? []).flatMap((page) => page.items).filter(({ id, reversed }) => !reversed && !known.has(id));
  return (
    <>
      {question.error === null ? null : <TroubleNotice error={question.error} onRetry={() => void question.refetch()} />}
      {older.length === 0 ? null : <p className="soft">{words.share.older}</p>}
      <ul className={styles.statements}>
        {older.map((each) => (
          <Statement key={each.id} settlement={each} payable={each.payable} isNew={false}>
            <span className={styles.get}>
              <StatementLink settlementId={each.id} about={formatPeriod(each, locale)} />
            </span>
          </Statement>
        ))}
      </ul>
      <More question={question} />
    </>
  );
}

interface StatementProps {
  readonly settlement: Pick<OwnSettlement, 'id' | 'startsOn' | 'endsBefore' | 'number'>;
  readonly payable: Money | null;
  readonly isNew: boolean;
  readonly children: ReactNode;
}

function Statement({ settlement, payable, isNew, children }: StatementProps) {
  const { to } = useOperator();
  return (
    <li>
      <h3>
        <Link to={to(`settlements/${settlement.id}`)}>{formatPeriodAlone(settlement, locale)}</Link>
        {isNew ? <> <span className={styles.new}>{words.share.isNew}</span></> : null}
      </h3>
      <span className={styles.paid}>{payable === null ? null : <Amount money={payable} alone />}</span>
      <span className="soft small">{settlement.number === null ? '' : words.settlement.number(settlement.number)}</span>
      {children}
    </li>
  );
}

/** How far a statement is paid, and what is still to come of it. */
function Paid({ payment: { state, toPay, toReceive } }: { readonly payment: OwnSettlement['payment'] }) {
  const open = [isZero(toPay) ? null : words.share.toCome(formatMoney(toPay, locale)), isZero(toReceive) ? null : words.share.owed(formatMoney(toReceive, locale))];
  return <span className={`small ${styles.isPaid ?? ''} ${state === 'paid' ? 'soft' : ''}`}>{[words.share.payment[state], ...open].filter((each) => each !== null).join(', ')}</span>;
}

/** Whether the office has answered what was asked about a statement; the answer stands there. */
function Asked({ settlement, question: { state, at } }: { readonly settlement: string; readonly question: NonNullable<OwnSettlement['question']> }) {
  const { to } = useOperator();
  return (
    <Link className={`small ${styles.asked ?? ''}`} to={to(`settlements/${settlement}`)}>
      {words.share.question[state](formatInstant(at, locale))}
    </Link>
  );
}
