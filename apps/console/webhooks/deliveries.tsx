import { useInfiniteQuery, useQuery, useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { Webhook, WebhookDelivery, WebhookDeliveryDetail } from '../api/shapes';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Answer } from '../parts/answer';
import { Dialog } from '../parts/dialog';
import { More } from '../parts/more';
import { SelectField } from '../parts/select-field';
import { TroubleNotice } from '../parts/trouble';
import { useMutation } from '../parts/use-mutation';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { deliveriesQuery, deliveryQuery, webhooksKey } from './queries';
import styles from './webhooks.module.css';

const text = words.webhooks;
type State = WebhookDelivery['state'];
const states: readonly State[] = ['waiting', 'sending', 'delivered', 'failed', 'held'];

/** What a webhook was told, with why it was not taken in plain words. */
export function Deliveries({ webhook }: { readonly webhook: Webhook }) {
  const { api } = useOperator();
  const id = useId();
  const [state, setState] = useState<State | null>(null);
  const [shown, setShown] = useState<WebhookDelivery | null>(null);
  const question = useInfiniteQuery(deliveriesQuery(api, { id: webhook.id, state }));
  const found = question.data?.pages.flatMap((page) => page.items);
  return (
    <section className="section" aria-labelledby={`${id}-title`}>
      <h2 id={`${id}-title`}>{text.deliveries}</h2>
      <div className={styles.filter}>
        <SelectField
          id={`${id}-filter`} label={text.filter} value={state ?? ''} none={text.everyState} options={states.map((each) => ({ value: each, text: text.deliveryState[each] }))}
          onValue={(value) => setState(states.find((each) => each === value) ?? null)}
        />
      </div>
      <Answer question={{ ...question, data: found }} lines={4}>
        {(deliveries) => (deliveries.length === 0 ? <p className="soft">{text.noDeliveries}</p> : <DeliveryTable webhook={webhook} deliveries={deliveries} onShow={setShown} />)}
      </Answer>
      <More question={question} />
      {shown === null ? null : <Details delivery={shown} onClose={() => setShown(null)} />}
    </section>
  );
}

interface DeliveryTableProps {
  readonly webhook: Webhook;
  readonly deliveries: readonly WebhookDelivery[];
  readonly onShow: (delivery: WebhookDelivery) => void;
}

function DeliveryTable({ webhook, deliveries, onShow }: DeliveryTableProps) {
  const { api, may } = useOperator();
  const client = useQueryClient();
  const replaying = useMutation({ mutationFn: (id: string, key) => api.replayWebhookDelivery(id, key), onSettled: () => client.invalidateQueries({ queryKey: webhooksKey }) });
  const mayReplay = may('webhook.replay') && webhook.state === 'on';
  return (
    <>
      {replaying.error === null ? null : <TroubleNotice error={replaying.error} />}
      <Wide title={text.deliveries}>
        <table>
          <caption className="visually-hidden">{text.deliveries}</caption>
          <thead>
            <tr>
              <th scope="col">{text.what}</th>
              <th scope="col">{text.outcome}</th>
            </tr>
          </thead>
          <tbody>
            {deliveries.map((delivery) => (
              <tr key={delivery.id}>
                <th scope="row">
                  {whatOf(delivery)}
                  <div className="soft small">{formatInstant(delivery.happenedAt, locale)}</div>
                </th>
                <td className={styles.outcome}>
                  <Outcome delivery={delivery} />
                  <div className="row">
                    <button type="button" className="button button-small" onClick={() => onShow(delivery)}>
                      {text.details}
                      <span className="visually-hidden">{text.about(whatOf(delivery))}</span>
                    </button>
                    {mayReplay && delivery.state !== 'sending' ? (
                      <button type="button" className="button button-small" aria-disabled={replaying.isPending} onClick={() => replaying.mutate(delivery.id)}>
                        {text.replay}
                        <span className="visually-hidden">{text.about(whatOf(delivery))}</span>
                      </button>
                    ) : null}
                  </div>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </>
  );
}

function Outcome({ delivery }: { readonly delivery: WebhookDelivery }) {
  const { state, attempts, last, dueAt } = delivery;
  return (
    <>
      <strong>{text.deliveryState[state]}</strong>
      {attempts === 0 ? null : <span className="soft small">{` ${text.attempts(attempts)}`}</span>}
      {last === null || state === 'delivered' ? null : <div>{whyOf(last)}</div>}
      {dueAt === null || attempts === 0 ? null : <div className="soft small">{text.nextAttempt(formatInstant(dueAt, locale))}</div>}
    </>
  );
}

function Details({ delivery, onClose }: { readonly delivery: WebhookDelivery; readonly onClose: () => void }) {
  const { api } = useOperator();
  const question = useQuery(deliveryQuery(api, delivery.id));
  return (
    <Dialog title={text.detailsOf(whatOf(delivery))} onClose={onClose}>
      <Answer question={question} lines={5}>{(detail) => <DetailsOf detail={detail} />}</Answer>
      <div>
        <button type="button" className="button" onClick={onClose}>
          {text.close}
        </button>
      </div>
    </Dialog>
  );
}

function DetailsOf({ detail }: { readonly detail: WebhookDeliveryDetail }) {
  return (
    <>
      {detail.tries.length === 0 ? (
        <p className="soft">{text.noAttempt}</p>
      ) : (
        <Wide title={text.details}>
          <table>
            <caption className="visually-hidden">{text.details}</caption>
            <thead>
              <tr>
                <th scope="col">{text.attempt}</th>
                <th scope="col">{text.outcome}</th>
                <th scope="col">{text.answer}</th>
              </tr>
            </thead>
            <tbody>
              {detail.tries.map((each) => (
                <tr key={each.number}>
                  <th scope="row">
                    {formatInstant(each.begunAt, locale)}
                    <div className="soft small">{text.milliseconds(each.durationMs)}</div>
                  </th>
                  <td className={styles.outcome}>{whyOf(each)}</td>
                  <td className={styles.address}>{each.answer === '' ? text.noAnswer : each.answer}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </Wide>
      )}
      <h3>{text.body}</h3>
      <p className="soft small">{`${text.messageId} ${detail.eventId}`}</p>
      <pre className={`code ${styles.message}`}>{detail.body}</pre>
    </>
  );
}

function whatOf({ type }: WebhookDelivery): string {
  return text.eventType[type] ?? type;
}

function whyOf({ status, failure }: { readonly status: number | null; readonly failure: string | null }): string {
  return status === null ? (text.why[failure ?? ''] ?? failure ?? '') : text.whyStatus(status);
}
