import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { CustodyEvent } from '../../api/shapes';
import { formatInstant } from '../../format/day';
import { locale } from '../../format/locale';
import { Answer } from '../../parts/answer';
import { Download } from '../../parts/download';
import { Wide } from '../../parts/wide';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { Holder, Moment } from '../parts';
import { Confirmations } from './confirmations';
import { openSides } from './confirmed';
import { CorrectEvent } from './correct-event';
import { copyEventsQuery } from './queries';

const text = words.custody.events;

/** Everything that was recorded about a copy, the latest first, with who confirmed it. */
export function CopyEvents({ copyId }: { readonly copyId: string }) {
  const { api } = useOperator();
  const question = useQuery(copyEventsQuery(api, copyId));
  return (
    <Answer question={question} lines={6}>
      {({ history }) => (
        <Wide title={text.title}>
          <table>
            <caption className="visually-hidden">{text.title}</caption>
            <thead>
              <tr>
                <th scope="col">{words.custody.happened}</th>
                <th scope="col">{words.keys.copy.happened}</th>
                <th scope="col">{words.keys.attention.from}</th>
                <th scope="col">{words.keys.attention.to}</th>
                <th scope="col">{text.confirmed}</th>
                <th scope="col">{words.commands}</th>
              </tr>
            </thead>
            <tbody>
              {[...history].reverse().map((event) => (
                <EventRow key={event.id} event={event} copyId={copyId} />
              ))}
            </tbody>
          </table>
        </Wide>
      )}
    </Answer>
  );
}

function EventRow({ event, copyId }: { readonly event: CustodyEvent; readonly copyId: string }) {
  const { api, may } = useOperator();
  const [open, setOpen] = useState<'confirm' | 'correct' | null>(null);
  const isCorrected = event.copies.find(({ keyCopyId }) => keyCopyId === copyId)?.correctedById !== null;
  const waiting = isCorrected ? [] : openSides(event);
  const breach = event.copies.find(({ keyCopyId, breachDueAt }) => keyCopyId === copyId && breachDueAt !== null);
  const says = event.says === null ? text.nothing : (words.keys.copy.says[event.says] ?? event.says);
  return (
    <tr>
      <th scope="row">
        <Moment instant={event.happenedAt} />
      </th>
      <td>
        {isCorrected ? <s>{says}</s> : says} {isCorrected ? <span className="soft small">{text.corrected}</span> : null}
        {event.kind === 'corrected' ? <span className="soft small">{text.correction}</span> : null}
        {breach === undefined || breach.breachDueAt === null ? null : (
          <div className="state state-alarm small">
            {text.breach} <Moment instant={breach.breachDueAt} />
          </div>
        )}
        <div className="soft small">{event.reason}</div>
      </td>
      <td>{event.from === null ? null : <Holder holder={event.from} />}</td>
      <td>{event.to === null ? null : <Holder holder={event.to} />}</td>
      <td>
        {event.acknowledgements.map(({ side, person, how }) => (
          <div key={side} className="small">
            {text.by(person.name, words.custody.confirm.how[how])}
          </div>
        ))}
        {event.denials.filter(({ side }) => !event.acknowledgements.some((each) => each.side === side)).map(({ side, person, how }) => (
          <div key={`denied ${side}`} className="small state-alarm">
            {text.by(text.by(person.name, words.keys.attention.denied[side]), words.custody.confirm.how[how])}
          </div>
        ))}
        {waiting.map((side) => (
          <div key={side} className="small soft">
            {text.waits[side]}
          </div>
        ))}
      </td>
      <td>
        <div className="row">
          {waiting.length > 0 ? (
            <button type="button" className="button button-small" onClick={() => setOpen('confirm')}>
              {text.confirm}
            </button>
          ) : null}
          {event.acknowledgeBy !== null && !isCorrected ? (
            <Download plain text={text.receipt} file={() => api.keyReceipt(event.id)} />
          ) : null}
          {!isCorrected && may('custody-event.record') ? (
            <button type="button" className="button-plain" onClick={() => setOpen('correct')}>
              {text.correct}
              <span className="visually-hidden">{` ${says}, ${formatInstant(event.happenedAt, locale)}`}</span>
            </button>
          ) : null}
        </div>
        {open === 'confirm' ? <Confirmations event={event} onClose={() => setOpen(null)} /> : null}
        {open === 'correct' ? <CorrectEvent event={event} onClose={() => setOpen(null)} /> : null}
      </td>
    </tr>
  );
}
