import type { WebhookWithSecret } from '../api/shapes';
import { ShownOnce } from '../parts/shown-once';
import { words } from '../words/words';

const text = words.webhooks;

/** The secret of a webhook, this one time. */
export function Secret({ of, onClose }: { readonly of: WebhookWithSecret; readonly onClose: () => void }) {
  return <ShownOnce title={text.secretOf(of.name)} lead={of.secret === null ? text.notShownAgain : text.secretLead} label={text.secret} value={of.secret} onClose={onClose} />;
}
