import { useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { Webhook, WebhookWithSecret } from '../api/shapes';
import { dayOf } from '../format/day';
import { Confirm } from '../parts/confirm';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { SelectField } from '../parts/select-field';
import { TroubleNotice } from '../parts/trouble';
import { useMutation } from '../parts/use-mutation';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { webhooksKey } from './queries';
import { Secret } from './secret';
import { WebhookForm } from './webhook-form';

const text = words.webhooks;
const MONTH_MS = 30 * 86_400_000;
type Asked = 'change' | 'switch-off' | 'rotate' | 'replay' | 'remove';
interface AskedProps {
  readonly webhook: Webhook;
  readonly onClose: () => void;
}

/** What can be done with a webhook. */
export function Commands({ webhook }: { readonly webhook: Webhook }) {
  const { api, may } = useOperator();
  const client = useQueryClient();
  const [asked, setAsked] = useState<Asked | null>(null);
  const [made, setMade] = useState<WebhookWithSecret | null>(null);
  const [said, setSaid] = useState<string | null>(null);
  const onSettled = () => client.invalidateQueries({ queryKey: webhooksKey });
  const testing = useMutation({ mutationFn: (_asked: void, key) => api.testWebhook(webhook.id, key), onSuccess: () => setSaid(text.testSent), onSettled });
  const switching = useMutation({ mutationFn: () => api.changeWebhook(webhook, { state: 'on' }), onSettled });
  const isOn = webhook.state === 'on';
  const close = () => setAsked(null);
  const button = (what: Asked, label: string) => (
    <button type="button" className="button" onClick={() => setAsked(what)}>
      {label}
    </button>
  );
  return (
    <section className="section" aria-label={words.commands}>
      <div className="row">
        {may('webhook.test') && isOn ? (
          <button type="button" className="button" aria-disabled={testing.isPending} onClick={() => testing.mutate()}>
            {text.sendTest}
          </button>
        ) : null}
        {may('webhook.replay') && isOn ? button('replay', text.replay) : null}
        {may('webhook.change') ? button('change', text.change) : null}
        {may('webhook.rotate-secret') ? button('rotate', text.rotate) : null}
        {may('webhook.change') && isOn ? button('switch-off', text.switchOff) : null}
        {may('webhook.change') && !isOn ? (
          <button type="button" className="button button-main" aria-disabled={switching.isPending} onClick={() => switching.mutate()}>
            {text.switchOn}
          </button>
        ) : null}
        {may('webhook.remove') ? button('remove', text.remove) : null}
      </div>
      <p role="status">{said}</p>
      {[testing, switching].map(({ error }, index) => (error === null ? null : <TroubleNotice key={index} error={error} />))}
      {asked === 'change' ? <WebhookForm before={webhook} onDone={close} onClose={close} /> : null}
      {asked === 'switch-off' ? <SwitchOff webhook={webhook} onClose={close} /> : null}
      {asked === 'remove' ? <Remove webhook={webhook} onClose={close} /> : null}
      {asked === 'rotate' ? (
        <Rotate
          webhook={webhook} onClose={close}
          onDone={(rotated) => {
            close();
            setMade(rotated);
          }}
        />
      ) : null}
      {asked === 'replay' ? (
        <Replay
          webhook={webhook} onClose={close}
          onDone={(messages) => {
            close();
            setSaid(text.replayed(messages));
          }}
        />
      ) : null}
      {made === null ? null : <Secret of={made} onClose={() => setMade(null)} />}
    </section>
  );
}

function SwitchOff({ webhook, onClose }: AskedProps) {
  const { api } = useOperator();
  const client = useQueryClient();
  const switching = useMutation({
    mutationFn: () => api.changeWebhook(webhook, { state: 'off' }),
    onSuccess: onClose,
    onSettled: () => client.invalidateQueries({ queryKey: webhooksKey }),
  });
  return (
    <Confirm title={text.switchOffTitle(webhook.name)} action={text.switchOff} busy={switching.isPending} error={switching.error} onConfirm={() => switching.mutate()} onClose={onClose}>
      <p>{text.switchOffWhat}</p>
    </Confirm>
  );
}

function Remove({ webhook, onClose }: AskedProps) {
  const { api } = useOperator();
  const client = useQueryClient();
  const removing = useMutation({
    mutationFn: () => api.removeWebhook(webhook.id),
    onSuccess: onClose,
    onSettled: () => client.invalidateQueries({ queryKey: webhooksKey }),
  });
  return (
    <Confirm title={text.removeTitle(webhook.name)} action={text.remove} busy={removing.isPending} error={removing.error} onConfirm={() => removing.mutate()} onClose={onClose}>
      <p>{text.removeWhat}</p>
    </Confirm>
  );
}

type Overlap = keyof typeof text.overlapHours;
const overlaps: readonly Overlap[] = ['24', '168', '0'];

function Rotate({ webhook, onClose, onDone }: AskedProps & { readonly onDone: (webhook: WebhookWithSecret) => void }) {
  const { api } = useOperator();
  const overlapId = useId();
  const [overlap, setOverlap] = useState<string>('24');
  const { errors, busy, submit } = useSending({ send: (hours: number, key) => api.rotateWebhookSecret(webhook.id, hours, key), fields: { overlapHours: overlapId }, changes: [webhooksKey], onDone });
  return (
    <FormDialog title={text.rotateTitle(webhook.name)} lead={text.rotateWhat} errors={errors} busy={busy} action={text.rotate} onSubmit={() => submit(Number(overlap), [])} onClose={onClose}>
      <SelectField id={overlapId} label={text.overlap} error={errorAt(errors, overlapId)} value={overlap} onValue={setOverlap} options={overlaps.map((each) => ({ value: each, text: text.overlapHours[each] }))} />
    </FormDialog>
  );
}

type Which = keyof typeof text.whichOnes;
const whichOnes: readonly Which[] = ['missed', 'all'];

function Replay({ webhook, onClose, onDone }: AskedProps & { readonly onDone: (messages: number) => void }) {
  const { api } = useOperator();
  const id = useId();
  const fields = { since: `${id}-since`, delivered: `${id}-which` };
  const [since, setSince] = useState(() => dayOf(new Date(Date.now() - MONTH_MS)));
  const [which, setWhich] = useState<string>('missed');
  const { errors, busy, submit } = useSending({
    send: (day: string, key) => api.replayWebhook(webhook.id, { since: new Date(`${day}T00:00:00`).toISOString(), ...(which === 'all' ? { delivered: true } : {}) }, key),
    fields,
    changes: [webhooksKey],
    onDone: ({ deliveries }) => onDone(deliveries),
  });
  return (
    <FormDialog
      title={text.replayTitle(webhook.name)} lead={text.replayLead} errors={errors} busy={busy} action={text.replay}
      onSubmit={() => submit(since, [unless(since !== '', fields.since, text.sinceMissing)])} onClose={onClose}
    >
      <Field id={fields.since} type="date" label={text.since} error={errorAt(errors, fields.since)} value={since} onValue={setSince} />
      <SelectField id={fields.delivered} label={text.which} error={errorAt(errors, fields.delivered)} value={which} onValue={setWhich} options={whichOnes.map((each) => ({ value: each, text: text.whichOnes[each] }))} />
    </FormDialog>
  );
}
