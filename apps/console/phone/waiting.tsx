import { useQueryClient } from '@tanstack/react-query';
import { useNavigate } from 'react-router';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { TroubleNotice } from '../parts/trouble';
import { useMutation } from '../parts/use-mutation';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { phoneKey } from './queries';
import { isOffline, OtherAccountError } from './sending';
import { putVisit, type KeptVisit } from './store';
import type { useSender } from './use-phone';
import styles from './phone.module.css';

const text = words.phone;

interface WaitingProps {
  readonly visits: readonly KeptVisit[];
  readonly sender: ReturnType<typeof useSender>;
}

/** What is on this phone and nowhere else, and what has just left it. */
export function Waiting({ visits, sender: { sent, refused, send, isSending, error } }: WaitingProps) {
  const { account } = useOperator();
  const waiting = visits.filter((visit) => visit.visit !== null);
  const otherName = error instanceof OtherAccountError ? error.presentName : null;
  const trouble = error === null || otherName !== null || isOffline(error) ? null : error;
  return (
    <>
      {waiting.length === 0 ? null : (
        <section className="notice notice-alarm" aria-labelledby="waiting">
          <h2 id="waiting">{text.waiting.title(waiting.length)}</h2>
          <p>{isSending ? text.waiting.sending : isOffline(error) ? text.waiting.offline : text.waiting.stopped}</p>
          <ul>
            {waiting.map((visit) => (
              <WaitingVisit key={visit.id} visit={visit} isSending={isSending} refusal={refused.get(visit.id) ?? null} />
            ))}
          </ul>
          {otherName === null ? null : <p role="alert">{text.waiting.otherAccount({ holder: account.name, present: otherName })}</p>}
          {trouble === null ? null : <TroubleNotice error={trouble} />}
          <div>
            <button type="button" className="button" aria-disabled={isSending} onClick={() => (isSending ? undefined : send())}>
              {text.waiting.send}
            </button>
          </div>
        </section>
      )}
      <div role="status" className={styles.said}>
        {sent.length === 0 ? null : (
          <div className="notice">
            <strong>{text.sent.title}</strong>
            <ul>
              {sent.map(({ id, siteName, outcome }) => (
                <li key={id}>{text.sent[outcome](siteName)}</li>
              ))}
            </ul>
          </div>
        )}
      </div>
    </>
  );
}

function WaitingVisit({ visit, isSending, refusal }: { readonly visit: KeptVisit; readonly isSending: boolean; readonly refusal: unknown }) {
  const { to } = useOperator();
  const client = useQueryClient();
  const navigate = useNavigate();
  const { stop, finishedAt, sequence } = visit;
  const change = useMutation({
    mutationFn: async () => putVisit({ ...visit, visit: null, finishedAt: null }),
    onSuccess: async () => {
      await client.invalidateQueries({ queryKey: phoneKey });
      await navigate(to(`today/${stop.roundId}/${stop.siteId}`));
    },
  });
  return (
    <li className={styles.waiting}>
      <span>
        <strong>{stop.siteName}</strong>
        {finishedAt === null ? null : <span className="soft small">{`, ${text.waiting.finished(formatInstant(finishedAt, locale))}`}</span>}
      </span>
      {/* Once an attempt was made it may have arrived although no answer came: then another version of it would be refused. */}
      {sequence !== null || isSending ? null : (
        <button type="button" className="button button-small" onClick={() => change.mutate()}>
          {text.waiting.change}
          <span className="visually-hidden">{` ${stop.siteName}`}</span>
        </button>
      )}
      {change.error === null ? null : <p role="alert">{text.waiting.notOpened}</p>}
      {refusal === null ? null : <TroubleNotice error={refusal} />}
    </li>
  );
}
