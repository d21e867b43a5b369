import { useId, useState } from 'react';
import { webhookEventTypes, type WebhookEventType } from '#contracts/webhook-event';
import type { Webhook, WebhookWithSecret } from '../api/shapes';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { useChangedMeanwhile } from '../parts/use-changed-meanwhile';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { webhooksKey } from './queries';
import styles from './webhooks.module.css';

const text = words.webhooks;

interface Entered {
  readonly name: string;
  readonly url: string;
  readonly eventTypes: readonly WebhookEventType[];
}

interface WebhookFormProps {
  /** The webhook that is changed; null: a new one. */
  readonly before: Webhook | null;
  readonly onDone: (webhook: Webhook | WebhookWithSecret) => void;
  readonly onClose: () => void;
}

/** Asks for an address and what it is told. */
export function WebhookForm({ before, onDone, onClose }: WebhookFormProps) {
  const { api } = useOperator();
  const id = useId();
  const fields = { name: `${id}-name`, url: `${id}-url`, eventTypes: `${id}-${webhookEventTypes[0]}` };
  const [name, setName] = useState(before?.name ?? '');
  const [url, setUrl] = useState(before?.url ?? 'https://');
  const [eventTypes, setEventTypes] = useState<readonly WebhookEventType[]>(before?.eventTypes ?? [...webhookEventTypes]);
  const edited = {
    thing: before,
    read: api.webhook,
    enteredOf: (of: Webhook): Entered => ({ name: of.name, url: of.url, eventTypes: of.eventTypes }),
    fields: {
      name: { label: text.nameLabel }, url: { label: text.address },
      eventTypes: { label: text.kinds, says: (types: readonly WebhookEventType[]) => webhookEventTypes.filter((type) => types.includes(type)).map((type) => text.eventType[type]).join(', ') },
    },
  };
  const onEntered = (entered: Entered) => {
    setName(entered.name);
    setUrl(entered.url);
    setEventTypes(entered.eventTypes);
  };
  const { seen, onRefused, conflict } = useChangedMeanwhile(edited, { entered: { name, url, eventTypes }, onEntered });
  const { errors, busy, submit } = useSending({
    send: (body: { name: string; url: string; eventTypes: WebhookEventType[] }, key): Promise<Webhook | WebhookWithSecret> => (seen === null ? api.makeWebhook(body, key) : api.changeWebhook(seen, body)),
    fields,
    changes: [webhooksKey],
    onDone,
    onRefused,
  });
  const send = () =>
    submit({ name: name.trim(), url: url.trim(), eventTypes: [...eventTypes] }, [
      unless(name.trim() !== '', fields.name, text.nameMissing),
      unless(URL.canParse(url.trim()), fields.url, text.addressMissing),
      unless(eventTypes.length > 0, fields.eventTypes, text.kindMissing),
    ]);
  const kindError = errorAt(errors, fields.eventTypes);
  return (
    <FormDialog
      title={before === null ? text.make : text.changeTitle(before.name)} lead={before === null ? text.makeLead : undefined}
      errors={errors} conflict={conflict} busy={busy} action={before === null ? text.make : text.save} onSubmit={send} onClose={onClose}
    >
      <Field id={fields.name} label={text.nameLabel} hint={text.nameHint} autoComplete="off" error={errorAt(errors, fields.name)} value={name} onValue={setName} />
      <Field id={fields.url} type="url" label={text.address} hint={text.addressHint} autoComplete="off" spellCheck={false} error={errorAt(errors, fields.url)} value={url} onValue={setUrl} />
      <fieldset className={styles.choices}>
        <legend>{text.kinds}</legend>
        {kindError === undefined ? null : <span className="field-error">{kindError}</span>}
        {webhookEventTypes.map((type) => (
          <label key={type}>
            <input
              id={`${id}-${type}`} type="checkbox" checked={eventTypes.includes(type)}
              onChange={(event) => setEventTypes(event.currentTarget.checked ? [...eventTypes, type] : eventTypes.filter((each) => each !== type))}
            />
            {text.eventType[type]}
          </label>
        ))}
      </fieldset>
    </FormDialog>
  );
}
