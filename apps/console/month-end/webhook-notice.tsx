import { useQuery } from '@tanstack/react-query';
import { Link } from 'react-router';
import { useOperator } from '../session/operator';
import { webhooksQuery } from '../webhooks/queries';
import { words } from '../words/words';

/** Programs that did not take what they were told, for whoever can do something about it. Nothing is shown when there is none. */
export function WebhookNotice() {
  const { api, may, to } = useOperator();
  const found = useQuery({ ...webhooksQuery(api), enabled: may('webhook.replay') }).data ?? [];
  const failing = found.filter(({ state, offReason, failed }) => (state === 'on' && failed > 0) || offReason === 'failing' || offReason === 'gone');
  if (failing.length === 0) return null;
  return (
    <p className="notice notice-alarm">
      <Link to={to('webhooks')}>{words.frame.webhooksFail(failing.map(({ name }) => name).join(', '))}</Link>
    </p>
  );
}
