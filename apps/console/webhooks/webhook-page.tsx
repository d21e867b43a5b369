import { useQuery } from '@tanstack/react-query';
import { Link, useParams } from 'react-router';
import type { Webhook } from '../api/shapes';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { NotFound } from '../frame/not-found';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { Commands } from './commands';
import { Deliveries } from './deliveries';
import { webhookQuery } from './queries';
import styles from './webhooks.module.css';

const text = words.webhooks;

/** `webhooks/:webhookId`: one program, what it is told, and what came of it. */
export function WebhookPage() {
  const { api, may, to } = useOperator();
  const { webhookId = '' } = useParams();
  const allowed = may('webhook.read');
  const question = useQuery({ ...webhookQuery(api, webhookId), enabled: allowed && webhookId !== '' });
  if (!allowed) return <Denied title={text.title} />;
  if (webhookId === '') return <NotFound />;
  return (
    <Page title={question.data?.name ?? text.title} lead={<Link to={to('webhooks')}>{text.toAll}</Link>}>
      <Answer question={question} lines={8}>
        {(webhook) => (
          <>
            <Facts webhook={webhook} />
            {webhook.state === 'removed' ? null : <Commands webhook={webhook} />}
            <Deliveries webhook={webhook} />
          </>
        )}
      </Answer>
    </Page>
  );
}

function Facts({ webhook }: { readonly webhook: Webhook }) {
  return (
    <section className="section" aria-label={text.facts}>
      <p className={styles.address}>{webhook.url}</p>
      <p className={webhook.offReason === 'failing' || webhook.offReason === 'gone' ? 'notice notice-alarm' : undefined}>
        {webhook.offReason === null ? text.state[webhook.state] : text.offReason[webhook.offReason]}
      </p>
      <ul>
        {webhook.eventTypes.map((type) => (
          <li key={type}>{text.eventType[type]}</li>
        ))}
      </ul>
      {webhook.oldSecretEndsAt === null ? null : <p className="soft">{text.oldEnds(formatInstant(webhook.oldSecretEndsAt, locale))}</p>}
    </section>
  );
}
