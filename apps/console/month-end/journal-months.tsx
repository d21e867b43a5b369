import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { Link } from 'react-router';
import type { JournalPeriods } from '../api/shapes';
import { formatDay, formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Answer } from '../parts/answer';
import { Confirm } from '../parts/confirm';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { recordingErrorsOf } from '../parts/form-errors';
import { useMutation } from '../parts/use-mutation';
import { unless } from '../parts/use-sending';
import { Wide } from '../parts/wide';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { journalPeriodsQuery } from './queries';

type Change = 'close' | 'reopen';

/** As the api asks for it. */
const shortestReason = 3;

/** Through which day the journal is closed, who closed and reopened it and why; the owner closes and reopens it here. */
export function JournalMonths() {
  const { api, may, to } = useOperator();
  const allowed = may('journal.read');
  const question = useQuery({ ...journalPeriodsQuery(api), enabled: allowed });
  if (!allowed) return null;
  return (
    <section className="section" aria-labelledby="journal-months">
      <h2 id="journal-months">{words.journalMonths.title}</h2>
      <Answer question={question} lines={2}>
        {(periods) => <Months periods={periods} />}
      </Answer>
      <p>
        <Link to={to('journal')}>{words.journalMonths.link}</Link>
      </p>
    </section>
  );
}

function Months({ periods }: { readonly periods: JournalPeriods }) {
  const { may } = useOperator();
  const [asked, setAsked] = useState<Change | null>(null);
  const { closedThrough, lastMonth, events } = periods;
  const text = words.journalMonths;
  const canClose = closedThrough === null || closedThrough.slice(0, 7) < lastMonth;
  return (
    <div className="stack">
      <p>{closedThrough === null ? text.open : text.closed(formatDay(closedThrough, locale))}</p>
      {may('journal.close') ? (
        <div className="row">
          {canClose ? (
            <button type="button" className="button" onClick={() => setAsked('close')}>
              {text.close}
            </button>
          ) : null}
          {closedThrough === null ? null : (
            <button type="button" className="button" onClick={() => setAsked('reopen')}>
              {text.reopen}
            </button>
          )}
        </div>
      ) : null}
      {events.length === 0 ? null : <History events={events} />}
      {asked === null ? null : <Changing change={asked} month={(asked === 'reopen' ? closedThrough?.slice(0, 7) : undefined) ?? lastMonth} onClose={() => setAsked(null)} />}
    </div>
  );
}

function Changing({ change, month: first, onClose }: { readonly change: Change; readonly month: string; readonly onClose: () => void }) {
  const { api } = useOperator();
  const client = useQueryClient();
  const id = useId();
  const [month, setMonth] = useState(first);
  const [reason, setReason] = useState('');
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const fields = { month: `${id}-month`, reason: `${id}-reason` };
  const changing = useMutation({
    mutationFn: change === 'close' ? api.closeJournal : api.reopenJournal,
    onSuccess: async (periods) => {
      // Those that were asked for before would come after these.
      await client.cancelQueries({ queryKey: journalPeriodsQuery(api).queryKey });
      client.setQueryData(journalPeriodsQuery(api).queryKey, periods);
      onClose();
    },
    onError: (error) => setErrors(recordingErrorsOf(error, { fields })),
  });
  const text = words.journalMonths;
  const submit = () => {
    // A browser without a field for months takes any text.
    const wrong = [unless(/^\d{4}-(0[1-9]|1[0-2])$/.test(month), fields.month, text.monthMissing), unless(reason.trim().length >= shortestReason, fields.reason, text.reasonMissing)].filter((each) => each !== null);
    setErrors(wrong);
    if (wrong.length === 0) changing.mutate({ month, reason });
  };
  return (
    <Confirm title={text[change]} action={text[change]} busy={changing.isPending} error={null} wrong={errors} onClose={onClose} onConfirm={submit}>
      <p>{change === 'close' ? text.closeWhat : text.reopenWhat}</p>
      <Field id={fields.month} type="month" label={change === 'close' ? text.through : text.from} error={errorAt(errors, fields.month)} value={month} onValue={setMonth} />
      <Field id={fields.reason} label={text.reason} error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} />
    </Confirm>
  );
}

function History({ events }: { readonly events: JournalPeriods['events'] }) {
  const nameOf = useActorName();
  const text = words.journalMonths;
  return (
    <details className="notice">
      <summary>{text.history}</summary>
      <Wide title={text.history}>
        <table>
          <caption className="visually-hidden">{text.history}</caption>
          <thead>
            <tr>
              <th scope="col">{text.what}</th>
              <th scope="col">{text.reason}</th>
              <th scope="col">{text.happened}</th>
              <th scope="col">{text.by}</th>
            </tr>
          </thead>
          <tbody>
            {events.map((event) => (
              <tr key={event.happenedAt}>
                <th scope="row">{wordsOf(event)}</th>
                <td>{event.reason}</td>
                <td>{formatInstant(event.happenedAt, locale)}</td>
                <td>{nameOf(event.happenedBy)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </details>
  );
}

function wordsOf({ kind, closedThrough }: JournalPeriods['events'][number]): string {
  const day = closedThrough === null ? null : formatDay(closedThrough, locale);
  return kind === 'closed' && day !== null ? words.journalMonths.event.closed(day) : words.journalMonths.event.reopened(day);
}
