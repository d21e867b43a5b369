import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import type { CustodySide } from '../../api/custody-api';
import type { CustodyEvent } from '../../api/shapes';
import { formatInstant } from '../../format/day';
import { locale } from '../../format/locale';
import { Dialog } from '../../parts/dialog';
import { TroubleNotice } from '../../parts/trouble';
import { useMutation } from '../../parts/use-mutation';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { openSides } from './confirmed';
import { CorrectEvent } from './correct-event';
import { toConfirmQuery } from './queries';
import { ReceiptLink } from './receipt-link';
import { SignHere } from './sign-here';

const text = words.custody.confirm;

interface ConfirmationsProps {
  readonly event: CustodyEvent;
  readonly onClose: () => void;
}

/** Who has confirmed that keys went from one to the other, and the ways to get it confirmed where somebody has not. */
export function Confirmations({ event: first, onClose }: ConfirmationsProps) {
  const client = useQueryClient();
  const [event, setEvent] = useState(first);
  const [isCorrecting, setCorrecting] = useState(false);
  // Only now: the row from which this was opened may go with what was confirmed.
  const close = () => {
    onClose();
    void client.invalidateQueries({ queryKey: ['keys'] });
  };
  const numbers = event.copies.map(({ number }) => number).join(', ');
  if (isCorrecting) return <CorrectEvent event={event} onClose={close} />;
  return (
    <Dialog title={text.title(numbers)} onClose={close}>
      <p>{text.what({ says: words.keys.copy.says[event.says ?? ''] ?? '', from: event.from?.name ?? '', to: event.to?.name ?? '', when: formatInstant(event.happenedAt, locale) })}</p>
      {(['giver', 'receiver'] as const).map((side) => (
        <Side key={side} event={event} side={side} onChange={setEvent} onCorrect={() => setCorrecting(true)} />
      ))}
      <div>
        <button type="button" className="button" onClick={close}>
          {openSides(event).length === 0 ? text.done : text.later}
        </button>
      </div>
    </Dialog>
  );
}

interface SideProps {
  readonly event: CustodyEvent;
  readonly side: CustodySide;
  readonly onChange: (event: CustodyEvent) => void;
}

function Side({ event, side, onChange, onCorrect }: SideProps & { readonly onCorrect: () => void }) {
  const { may } = useOperator();
  const [way, setWay] = useState<'link' | 'sign' | null>(null);
  const holder = side === 'giver' ? event.from : event.to;
  const said = event.acknowledgements.find((each) => each.side === side);
  const denied = event.denials.find((each) => each.side === side);
  if (holder === null) return null;
  return (
    <section className="section" aria-label={text.side[side]}>
      <h3>{text.sideOf(text.side[side], holder.name)}</h3>
      {said === undefined ? (
        <>
          <p>{event.acknowledgeBy === null ? null : text.open(formatInstant(event.acknowledgeBy, locale))}</p>
          {denied === undefined ? null : (
            <div className="notice">
              <p>{text.denied[side]({ name: denied.person.name, how: text.how[denied.how], when: formatInstant(denied.deniedAt, locale) })}</p>
              {may('custody-event.record') && may('key-attention.read') ? (
                <div>
                  <button type="button" className="button button-small" onClick={onCorrect}>
                    {words.custody.events.correct}
                  </button>
                </div>
              ) : null}
            </div>
          )}
          {way === 'link' ? <ReceiptLink event={event} side={side} holder={holder} onClose={() => setWay(null)} /> : null}
          {way === 'sign' ? <SignHere event={event} side={side} holder={holder} onSigned={onChange} onClose={() => setWay(null)} /> : null}
          {way === null ? <Ways event={event} side={side} onWay={setWay} onChange={onChange} /> : null}
        </>
      ) : (
        <p role="status">{text.said({ name: said.person.name, how: text.how[said.how], when: formatInstant(said.acknowledgedAt, locale) })}</p>
      )}
    </section>
  );
}

function Ways({ event, side, onWay, onChange }: SideProps & { readonly onWay: (way: 'link' | 'sign') => void }) {
  const { api, may } = useOperator();
  const toConfirm = useQuery({ ...toConfirmQuery(api), staleTime: 0, enabled: may('custody.acknowledge') });
  const holder = side === 'giver' ? event.from : event.to;
  const confirming = useMutation({ mutationFn: api.acknowledgeKeys, onSuccess: onChange });
  const isOwn = toConfirm.data?.items.some((item) => item.eventId === event.id && item.side === side) === true;
  return (
    <>
      <div className="row">
        {isOwn ? (
          <button type="button" className="button button-small" aria-disabled={confirming.isPending} onClick={() => (confirming.isPending ? undefined : confirming.mutate({ eventId: event.id, side }))}>
            {confirming.isPending ? words.working : words.keyReceipt.confirm[side]}
          </button>
        ) : null}
        {may('custody.sign') && holder?.siteCode !== null ? (
          <button type="button" className="button button-small" onClick={() => onWay('sign')}>
            {text.sign}
          </button>
        ) : null}
        {may('custody-link.create') ? (
          <button type="button" className="button button-small" onClick={() => onWay('link')}>
            {text.link}
          </button>
        ) : null}
      </div>
      {confirming.isError ? <TroubleNotice error={confirming.error} /> : null}
    </>
  );
}
