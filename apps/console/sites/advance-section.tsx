import { useQuery } from '@tanstack/react-query';
import { Fragment, useId, useState } from 'react';
import type { Advance } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { Amount } from '../parts/amount';
import { Answer, Blank } from '../parts/answer';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { AdvanceCommands } from './advance-commands';
import { AdvanceHistory } from './advance-history';
import { GiveAdvance } from './give-advance';
import { advancesOfQuery, agreementsOfQuery } from './queries';
import styles from './sites.module.css';

/** What was given in advance at the site, and what of it is still open. */
export function AdvanceSection({ siteId, currency }: { readonly siteId: string; readonly currency: string }) {
  const { api, may } = useOperator();
  const [giving, setGiving] = useState(false);
  const mayGive = may('advance.give') && may('agreement.read');
  const question = useQuery(advancesOfQuery(api, siteId));
  const agreements = useQuery({ ...agreementsOfQuery(api, siteId), enabled: mayGive });
  const running = agreements.data?.items.find((each) => each.endedOn === null) ?? agreements.data?.items[0];
  const text = words.advances;
  return (
    <section className="section" aria-labelledby="advances">
      <h2 id="advances">{text.title}</h2>
      <div className="stack">
        <Answer question={question} lines={2}>
          {(items) => (items.length === 0 ? <Blank title={text.none} /> : <AdvanceTable siteId={siteId} advances={items} />)}
        </Answer>
        {mayGive && running !== undefined ? (
          <div className="row">
            <button type="button" className="button" onClick={() => setGiving(true)}>
              {text.give}
            </button>
          </div>
        ) : null}
      </div>
      {giving && running !== undefined ? <GiveAdvance agreement={running} currency={currency} onClose={() => setGiving(false)} /> : null}
    </section>
  );
}

function AdvanceTable({ siteId, advances }: { readonly siteId: string; readonly advances: readonly Advance[] }) {
  const { may } = useOperator();
  const text = words.advances;
  const changes = may('advance.pay-back') && advances.some(({ state }) => state === 'open');
  return (
    <Wide title={text.title}>
      <table>
        <caption className="visually-hidden">{text.title}</caption>
        <thead>
          <tr>
            <th scope="col">{text.givenOn}</th>
            <th scope="col">{text.to}</th>
            <th scope="col">{text.reason}</th>
            <th scope="col" className="figure">
              {text.given}
            </th>
            <th scope="col" className="figure">
              {text.open}
            </th>
            {changes ? <th scope="col">{words.commands}</th> : null}
          </tr>
        </thead>
        <tbody>
          {advances.map((each) => (
            <OneAdvance key={each.id} siteId={siteId} advance={each} changes={changes} />
          ))}
        </tbody>
      </table>
    </Wide>
  );
}

/** Its row, and below it, when asked, every step by which it was worked off. */
function OneAdvance({ siteId, advance, changes }: { readonly siteId: string; readonly advance: Advance; readonly changes: boolean }) {
  const [open, setOpen] = useState(false);
  const panelId = useId();
  const day = formatDay(advance.givenOn, locale);
  const isOpen = advance.state === 'open';
  return (
    <Fragment>
      <tr>
        <th scope="row">
          {day}
          <div>
            <button type="button" className={`button-plain small ${styles.opener}`} aria-expanded={open} aria-controls={panelId} aria-label={words.advanceChanges.historyOf(day)} onClick={() => setOpen(!open)}>
              {words.advanceChanges.history}
            </button>
          </div>
        </th>
        <td>{advance.partyName}</td>
        <td>{advance.reason}</td>
        <td className="figure">
          <Amount money={advance.amount} />
        </td>
        <td className="figure">{isOpen ? <Amount money={advance.open} /> : words.advances.closed}</td>
        {changes ? <td>{isOpen ? <AdvanceCommands siteId={siteId} advance={advance} /> : null}</td> : null}
      </tr>
      <tr id={panelId} hidden={!open}>
        <td colSpan={changes ? 6 : 5} className={styles.within}>{open ? <AdvanceHistory siteId={siteId} advance={advance} title={words.advanceChanges.historyOf(day)} /> : null}</td>
      </tr>
    </Fragment>
  );
}
