import { useId } from 'react';
import { useSearchParams } from 'react-router';
import type { Days } from '../api/journal-api';
import { dayOf } from '../format/day';
import { useAddressParameters } from '../parts/address-parameters';
import { Denied } from '../parts/denied';
import { Download } from '../parts/download';
import { Field } from '../parts/field';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { isDay, lastMonth } from './days';
import { Entries } from './entries';
import { Balance } from './trial-balance';
import styles from './journal.module.css';

/** `journal?from=&to=`: balances at a day, what moved them since another, and the entries of the days between. */
export function JournalPage() {
  const { may } = useOperator();
  const [parameters] = useSearchParams();
  const text = words.journal;
  if (!may('journal.read')) return <Denied title={text.title} />;
  const over = lastMonth(dayOf(new Date()));
  const [from, to] = [parameters.get('from') ?? '', parameters.get('to') ?? ''];
  const days = { from: isDay(from) ? from : over.from, to: isDay(to) ? to : over.to };
  return (
    <Page title={text.title} lead={text.lead}>
      <Choice days={days} />
      {days.from > days.to ? null : (
        <>
          <Balance days={days} />
          <Entries days={days} />
        </>
      )}
    </Page>
  );
}

/** The days stand in the address, so that they can be sent to a colleague. A browser's picker says nothing while a day is half typed. */
function Choice({ days }: { readonly days: Days }) {
  const { api } = useOperator();
  const [, change] = useAddressParameters();
  const id = useId();
  const text = words.journal;
  return (
    <section className="section" aria-label={text.days}>
      <div className={styles.days}>
        <Field id={`${id}-from`} type="date" label={text.from} defaultValue={days.from} onValue={(from) => (isDay(from) ? change({ from }) : undefined)} />
        <Field
          id={`${id}-to`} type="date" label={text.to} error={days.from > days.to ? text.wrongDays : undefined} defaultValue={days.to}
          onValue={(to) => (isDay(to) ? change({ to }) : undefined)}
        />
      </div>
      {days.from > days.to ? null : (
        <div className="row">
          {(['csv', 'plain'] as const).map((format) => (
            <Download key={format} text={text.download[format]} file={() => api.journalFile({ ...days, format })} />
          ))}
        </div>
      )}
    </section>
  );
}
