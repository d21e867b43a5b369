import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-router';
import type { CollectionDue, Round } from '../api/shapes';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import type { Beginning } from './again';
import { DueTable } from './due-table';
import { Missed, Past } from './past';
import { Planned } from './planned';
import { dueQuery, plannedQuery } from './queries';
import { RhythmDialog } from './rhythm-dialog';
import { RoundForm } from './round-form';

const text = words.rounds;

/** `rounds`: what is due and overdue, and the rounds that go there. */
export function RoundsPage() {
  const { may } = useOperator();
  return may('collection-due.read') ? <Rounds /> : <Denied title={text.title} />;
}

const nothing: Beginning = { name: '', collectorId: '', siteIds: [] };

function Rounds() {
  const { api, may, to } = useOperator();
  const due = useQuery(dueQuery(api));
  const planned = useQuery(plannedQuery(api));
  const [chosen, setChosen] = useState<readonly string[]>([]);
  const [editing, setEditing] = useState<Round | Beginning | null>(null);
  const [pacing, setPacing] = useState<CollectionDue | null>(null);
  const plan = (
    <button type="button" className="button button-main" onClick={() => setEditing({ ...nothing, siteIds: chosen })}>
      {text.plan.action(chosen.length)}
    </button>
  );
  const toVisits = may('visit.read') ? <Link className="button" to={to('rounds/visits')}>{text.visits}</Link> : null;
  const toReports = may('outage.read') ? <Link className="button" to={to('machines/reports')}>{text.machineReports}</Link> : null;
  const close = () => setEditing(null);
  return (
    <Page title={text.title} lead={text.lead} actions={<>{toReports}{toVisits}{plan}</>}>
      <section className="section">
        <h2>{text.due.title}</h2>
        <Answer question={due} lines={8}>
          {(items) => (items.length === 0 ? <Blank title={text.due.none} /> : <DueTable items={items} chosen={chosen} onChosen={setChosen} onRhythm={setPacing} />)}
        </Answer>
      </section>
      <Missed onPlan={setEditing} />
      <section className="section" aria-labelledby="planned">
        <h2 id="planned">{text.planned.title}</h2>
        <Answer question={planned} lines={4}>
          {(rounds) => (rounds.length === 0 ? <Blank title={text.planned.none} /> : <Planned rounds={rounds} onChange={setEditing} onPlan={setEditing} />)}
        </Answer>
      </section>
      <Past onPlan={setEditing} />
      {editing === null ? null : (
        <RoundForm
          round={'id' in editing ? editing : null} beginning={'id' in editing ? nothing : editing} onClose={close}
          onSaved={() => {
            // Ticks that another round began without are still to be planned.
            if (!('id' in editing) && editing.siteIds === chosen) setChosen([]);
            close();
          }}
        />
      )}
      {pacing === null ? null : <RhythmDialog site={pacing} onClose={() => setPacing(null)} />}
    </Page>
  );
}
