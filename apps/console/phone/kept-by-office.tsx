import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import type { OwnKeptVisit } from '../api/shapes';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { ConfirmWithReason } from '../parts/confirm-with-reason';
import framed from '../parts/framed.module.css';
import { InEnglish } from '../parts/trouble';
import { useMutation } from '../parts/use-mutation';
import { sayKept } from '../rounds/say-kept';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { phoneKey } from './queries';
import styles from './phone.module.css';

const text = words.phone.kept;

/** One's own visits that arrived and are not in the books: one that was entered by mistake is withdrawn. A phone may have kept its stops from before it was told of any. */
export function KeptVisits({ visits = [] }: { readonly visits: readonly OwnKeptVisit[] | undefined }) {
  const [withdrawn, setWithdrawn] = useState<OwnKeptVisit | null>(null);
  return (
    <>
      {visits.length === 0 ? null : (
        <section className="section" aria-labelledby="kept">
          <h2 id="kept">{text.title}</h2>
          <p>{text.lead}</p>
          <ul className={framed.list}>
            {visits.map((visit) => (
              <KeptVisit key={visit.id} visit={visit} onWithdrawn={setWithdrawn} />
            ))}
          </ul>
        </section>
      )}
      <div role="status" className={styles.said}>
        {withdrawn === null ? null : <p className="notice">{text.withdrawn(namesOf(withdrawn))}</p>}
      </div>
    </>
  );
}

/** Why it waits, in the language of the page, and what to do. What a phone kept of its visits from before it was told why says nothing of it. */
function Why({ why }: { readonly why: OwnKeptVisit['why'] | undefined }) {
  if (why === null || why === undefined) return null;
  const { own, inEnglish } = sayKept({ ...why, detail: null });
  return (
    <>
      <p className="soft small">{words.rounds.kept.why}</p>
      <ul>
        {own.map((message) => (
          <li key={message}>{message}</li>
        ))}
      </ul>
      <InEnglish sentences={inEnglish} />
      <p>{text.whatToDo}</p>
    </>
  );
}

function namesOf({ siteName, happenedAt, receivedAt }: OwnKeptVisit): { readonly site: string; readonly moment: string } {
  const isMoment = happenedAt !== null && !Number.isNaN(Date.parse(happenedAt));
  return { site: siteName ?? words.rounds.kept.noSite, moment: formatInstant(isMoment ? happenedAt : receivedAt, locale) };
}

function KeptVisit({ visit, onWithdrawn }: { readonly visit: OwnKeptVisit; readonly onWithdrawn: (visit: OwnKeptVisit) => void }) {
  const { api } = useOperator();
  const client = useQueryClient();
  const [isAsked, setAsked] = useState(false);
  const withdrawing = useMutation({
    mutationFn: api.withdrawVisit,
    onSuccess: async () => {
      onWithdrawn(visit);
      await client.invalidateQueries({ queryKey: phoneKey });
    },
  });
  const names = namesOf(visit);
  return (
    <li className={`${framed.box} ${styles.stop}`}>
      <div>
        <h3>{names.site}</h3>
        <p>{text.visitOf(names.moment)}</p>
        <p className="soft small">{words.rounds.kept.received(formatInstant(visit.receivedAt, locale))}</p>
        <Why why={visit.why} />
      </div>
      <button type="button" className="button" onClick={() => setAsked(true)}>
        {text.withdraw}
        <span className="visually-hidden">{` ${names.site}, ${names.moment}`}</span>
      </button>
      {isAsked ? (
        <ConfirmWithReason
          title={text.withdrawTitle(names)} what={text.withdrawWhat} action={text.withdraw} busy={withdrawing.isPending} error={withdrawing.error}
          onConfirm={(reason) => withdrawing.mutate({ id: visit.id, reason: reason.trim() })} onClose={() => setAsked(false)}
        />
      ) : null}
    </li>
  );
}
