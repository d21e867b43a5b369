import { useMutation, useQueryClient } from '@tanstack/react-query';
import { useEffect, useMemo, useState } from 'react';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { phoneKey } from './queries';
import { sendWaiting, type Sent } from './sending';
import type { Holder } from './store';

/** How often a phone with unsent visits tries again by itself. */
const AGAIN_MS = 30_000;

/** Whose things this page shows and sends. */
export function useHolder(): Holder {
  const { membership, account } = useOperator();
  return useMemo(() => ({ operatorId: membership.id, accountId: account.id }), [membership.id, account.id]);
}

/** Sends what waits: at once, when the connection comes back, and now and then. */
export function useSender() {
  const { api, account } = useOperator();
  const holder = useHolder();
  const client = useQueryClient();
  const [sent, setSent] = useState<readonly Sent[]>([]);
  const [refused, setRefused] = useState<ReadonlyMap<string, unknown>>(new Map());
  const { mutate, isPending, error } = useMutation({
    mutationFn: async () =>
      sendWaiting({
        holder,
        api,
        deviceName: words.phone.device(account.name),
        onSent: (each) => setSent((before) => [...before, each]),
        onRefused: (each) => setRefused((before) => new Map(before).set(each.id, each.error)),
      }),
    onSettled: async () => client.invalidateQueries({ queryKey: phoneKey }),
  });
  useEffect(() => {
    const send = () => mutate();
    send();
    window.addEventListener('online', send);
    const timer = setInterval(send, AGAIN_MS);
    return () => {
      window.removeEventListener('online', send);
      clearInterval(timer);
    };
  }, [mutate]);
  return { sent, refused, send: () => mutate(), isSending: isPending, error };
}
