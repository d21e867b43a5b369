import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-router';
import type { Webhook, WebhookWithSecret } from '../api/shapes';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { webhooksQuery } from './queries';
import { Secret } from './secret';
import { WebhookForm } from './webhook-form';
import styles from './webhooks.module.css';

const text = words.webhooks;

/** `webhooks`: the programs that are told what happens. */
export function WebhooksPage() {
  const { api, may } = useOperator();
  const allowed = may('webhook.read');
  const question = useQuery({ ...webhooksQuery(api), enabled: allowed });
  const [making, setMaking] = useState(false);
  const [made, setMade] = useState<WebhookWithSecret | null>(null);
  if (!allowed) return <Denied title={text.title} />;
  return (
    <Page
      title={text.title}
      lead={text.lead}
      actions={
        may('webhook.create') ? (
          <button type="button" className="button button-main" onClick={() => setMaking(true)}>
            {text.make}
          </button>
        ) : undefined
      }
    >
      <Answer question={question} lines={4}>
        {(webhooks) =>
          webhooks.length === 0 ? (
            <Blank title={text.none}>
              <p>{text.noneAdvice}</p>
            </Blank>
          ) : (
            <WebhookTable webhooks={webhooks} />
          )
        }
      </Answer>
      {making ? (
        <WebhookForm
          before={null}
          onDone={(webhook) => {
            setMaking(false);
            if ('secret' in webhook) setMade(webhook);
          }}
          onClose={() => setMaking(false)}
        />
      ) : null}
      {made === null ? null : <Secret of={made} onClose={() => setMade(null)} />}
    </Page>
  );
}

function WebhookTable({ webhooks }: { readonly webhooks: readonly Webhook[] }) {
  const { to } = useOperator();
  return (
    <Wide title={text.title}>
      <table>
        <caption className="visually-hidden">{text.title}</caption>
        <thead>
          <tr>
            <th scope="col">{text.name}</th>
            <th scope="col">{text.told}</th>
            <th scope="col">{words.state}</th>
            <th scope="col">{text.notTaken}</th>
          </tr>
        </thead>
        <tbody>
          {webhooks.map((webhook) => (
            <tr key={webhook.id}>
              <th scope="row">
                <Link to={to(`webhooks/${webhook.id}`)}>{webhook.name}</Link>
                <div className={`soft small ${styles.address}`}>{webhook.url}</div>
              </th>
              <td>
                <ul>
                  {webhook.eventTypes.map((type) => (
                    <li key={type}>{text.eventType[type]}</li>
                  ))}
                </ul>
              </td>
              <td>{webhook.offReason === null ? text.state[webhook.state] : text.offReason[webhook.offReason]}</td>
              <td className="figure">{webhook.failed}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
