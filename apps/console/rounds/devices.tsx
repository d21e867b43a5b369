import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import type { Device } from '../api/shapes';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Answer, Blank } from '../parts/answer';
import { ConfirmWithReason } from '../parts/confirm-with-reason';
import { useMutation } from '../parts/use-mutation';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { devicesQuery, visitsKey } from './queries';

const text = words.rounds.devices;

/** Phones on which visits are entered, and the way to shut one out. */
export function Devices() {
  const { api, may } = useOperator();
  const client = useQueryClient();
  const question = useQuery(devicesQuery(api));
  const [ending, setEnding] = useState<Device | null>(null);
  const revoking = useMutation({
    mutationFn: api.revokeDevice,
    onSuccess: async () => {
      await client.invalidateQueries({ queryKey: visitsKey });
      setEnding(null);
    },
  });
  return (
    <section className="section">
      <h2>{text.title}</h2>
      <Answer question={question} lines={3}>
        {(devices) => (devices.length === 0 ? <Blank title={text.none} /> : <DeviceTable devices={devices} onRevoke={may('device.revoke') ? setEnding : null} />)}
      </Answer>
      {ending === null ? null : (
        <ConfirmWithReason
          title={text.revokeTitle(ending.name, formatInstant(ending.registeredAt, locale))} what={text.revokeWhat} action={text.revoke} busy={revoking.isPending} error={revoking.error}
          onConfirm={(reason) => revoking.mutate({ id: ending.id, reason })} onClose={() => setEnding(null)}
        />
      )}
    </section>
  );
}

function DeviceTable({ devices, onRevoke }: { readonly devices: readonly Device[]; readonly onRevoke: ((device: Device) => void) | null }) {
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
              <td>{device.visits}</td>
              <td>{device.lastVisitAt === null ? null : formatInstant(device.lastVisitAt, locale)}</td>
              <td>
                {device.revokedBecause !== null ? <span className="state state-alarm">{text.revoked(device.revokedBecause)}</span> : null}
                {device.revokedAt !== null || onRevoke === null ? null : (
                  <button type="button" className="button button-small" onClick={() => onRevoke(device)}>
                    {text.revoke}
                    <span className="visually-hidden">{` ${device.name}, ${formatInstant(device.registeredAt, locale)}`}</span>
                  </button>
                )}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
