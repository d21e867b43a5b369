import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import type { Device } from '../api/shapes';
import { formatCount } from '../format/count';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Answer, Blank } from '../parts/answer';
import { ConfirmWithReason } from '../parts/confirm-with-reason';
import { useMutation } from '../parts/use-mutation';
import { Wide } from '../parts/wide';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { devicesQuery, visitsKey } from './queries';

const text = words.rounds.devices;

type Asked = { readonly device: Device; readonly to: 'revoke' | 'release' };

/** Phones on which visits are entered, the way to shut one out, and to let its account register another. */
export function Devices() {
  const { api } = useOperator();
  const client = useQueryClient();
  const question = useQuery(devicesQuery(api));
  const [asked, setAsked] = useState<Asked | null>(null);
  const doing = useMutation({
    mutationFn: async ({ to, ...what }: { to: Asked['to']; id: string; reason: string }, key) => (to === 'revoke' ? api.revokeDevice(what, key) : api.releaseDevice(what, key)),
    onSuccess: async () => {
      await client.invalidateQueries({ queryKey: visitsKey });
      setAsked(null);
    },
  });
  const ask = (next: Asked) => {
    // What went wrong with another one says nothing of this.
    doing.reset();
    setAsked(next);
  };
  return (
    <section className="section">
      <h2>{text.title}</h2>
      <Answer question={question} lines={3}>
        {(devices) => (devices.length === 0 ? <Blank title={text.none} /> : <DeviceTable devices={devices} onAsk={ask} />)}
      </Answer>
      {asked === null ? null : (
        <ConfirmWithReason
          key={`${asked.to} ${asked.device.id}`} {...questionOf(asked)} action={text[asked.to]} busy={doing.isPending} error={doing.error}
          onConfirm={(reason) => doing.mutate({ to: asked.to, id: asked.device.id, reason })} onClose={() => setAsked(null)}
        />
      )}
    </section>
  );
}

const questionOf = ({ device: { name, registeredAt }, to }: Asked) => {
  const since = formatInstant(registeredAt, locale);
  return to === 'revoke' ? { title: text.revokeTitle(name, since), what: text.revokeWhat } : { title: text.releaseTitle(name, since), what: text.releaseWhat };
};

function DeviceTable({ devices, onAsk }: { readonly devices: readonly Device[]; readonly onAsk: (asked: Asked) => void }) {
  return (
    <Wide title={text.title}>
      <table>
        <caption className="visually-hidden">{text.title}</caption>
        <thead>
          <tr>
            <th scope="col">{text.title}</th>
            <th scope="col">{text.person}</th>
            <th scope="col">{text.registered}</th>
            <th scope="col">{text.visits}</th>
            <th scope="col">{text.last}</th>
            <th scope="col">{words.commands}</th>
          </tr>
        </thead>
        <tbody>
          {devices.map((device) => (
            <tr key={device.id}>
              <th scope="row">{device.name}</th>
              <td>{device.personName}</td>
              <td>{formatInstant(device.registeredAt, locale)}</td>
              <td>{formatCount(device.visits, locale)}</td>
              <td>{device.lastVisitAt === null ? null : formatInstant(device.lastVisitAt, locale)}</td>
              <td>
                <State device={device} onAsk={onAsk} />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}

/** Whether a phone may send: who revoked it and who released its account, when and why, and what may be done next. */
function State({ device, onAsk }: { readonly device: Device; readonly onAsk: (asked: Asked) => void }) {
  const { may } = useOperator();
  const nameOf = useActorName();
  const { revokedAt, revokedBy, revokedBecause, releasedAt, releasedBy, releasedBecause } = device;
  const next = revokedAt === null ? (may('device.revoke') ? 'revoke' : null) : releasedAt === null && may('device.release') ? 'release' : null;
  return (
    <>
      {revokedAt === null ? null : <p className="state state-alarm">{text.revoked({ at: formatInstant(revokedAt, locale), by: nameOf(revokedBy ?? ''), reason: revokedBecause ?? '' })}</p>}
      {releasedAt === null ? null : <p>{text.released({ at: formatInstant(releasedAt, locale), by: nameOf(releasedBy ?? ''), reason: releasedBecause ?? '' })}</p>}
      {next === null ? null : (
        <button type="button" className="button button-small" onClick={() => onAsk({ device, to: next })}>
          {text[next]}
          <span className="visually-hidden">{` ${device.name}, ${formatInstant(device.registeredAt, locale)}`}</span>
        </button>
      )}
    </>
  );
}
