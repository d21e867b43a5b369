import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { Advance } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { Amount } from '../parts/amount';
import { Answer, Blank } from '../parts/answer';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { AdvanceCommands } from './advance-commands';
import { GiveAdvance } from './give-advance';
import { advancesOfQuery, agreementsOfQuery } from './queries';

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
          {({ items }) => (items.length === 0 ? <Blank title={text.none} /> : <AdvanceTable siteId={siteId} advances={items} />)}
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
    <div className="scroll-across" tabIndex={0} role="group" aria-label={text.title}>
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
            <tr key={each.id}>
              <th scope="row">{formatDay(each.givenOn, locale)}</th>
              <td>{each.partyName}</td>
              <td>{each.reason}</td>
              <td className="figure">
                <Amount money={each.amount} />
              </td>
              <td className="figure">{each.state === 'closed' ? text.closed : <Amount money={each.open} />}</td>
              {changes ? <td>{each.state === 'open' ? <AdvanceCommands siteId={siteId} advance={each} /> : null}</td> : null}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
