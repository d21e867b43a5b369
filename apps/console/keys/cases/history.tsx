import { useQuery } from '@tanstack/react-query';
import { Link } from 'react-router';
import type { ExposedCollection, KeyCase } from '../../api/shapes';
import { Answer } from '../../parts/answer';
import { TitledTable } from '../../parts/titled-table';
import { useActorName } from '../../session/actor-name';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { Moment } from '../parts';
import { exposedQuery } from './queries';

const text = words.keyCases;

/** Collections of boxes that somebody else could open before. */
export function Exposed({ caseId }: { readonly caseId: string }) {
  const { api } = useOperator();
  const question = useQuery(exposedQuery(api, caseId));
  return (
    <Answer question={question} lines={3}>
      {(collections) => (
        <TitledTable
          id="exposed" title={text.exposed.title} none={text.exposed.none} folded={text.exposed.folded(collections.length)} note={text.exposed.lead} columns={[text.exposed.visit, words.site, text.exposed.machines]}
          rows={collections.map((each) => <ExposedRow key={each.collectionId} collection={each} />)}
        />
      )}
    </Answer>
  );
}

function ExposedRow({ collection: { happenedAt, siteId, siteName, siteCode, machines } }: { readonly collection: ExposedCollection }) {
  const { to } = useOperator();
  return (
    <tr>
      <th scope="row">
        <Moment instant={happenedAt} />
      </th>
      <td>
        <Link to={to(`sites/${siteId}`)}>{siteName}</Link> <span className="code small">{siteCode}</span>
      </td>
      <td>{machines.map(({ machineTag, when }) => (when === 'first-after' ? text.exposed.after(machineTag) : machineTag)).join(', ')}</td>
    </tr>
  );
}

/** Every step that was confirmed, the latest first. */
export function Steps({ lost }: { readonly lost: KeyCase }) {
  const nameOf = useActorName();
  const about = (step: KeyCase['steps'][number]): string | undefined =>
    lost.locks.find(({ lockId }) => lockId === step.lockId)?.machineTag ??
    lost.copiesToCallIn.find(({ keyCopyId }) => keyCopyId === step.keyCopyId)?.number ??
    lost.copiesToGive.find(({ given }) => given !== null && given.keyCopyId === step.keyCopyId)?.given?.number;
  const rows = [...lost.steps].reverse().map((step) => (
    <tr key={step.id}>
      <th scope="row">
        <Moment instant={step.happenedAt} />
      </th>
      <td>
        {text.steps.kind[step.kind]} {about(step)}
        <div className="soft small">{step.note}</div>
      </td>
      <td>{nameOf(step.recordedBy)}</td>
    </tr>
  ));
  return <TitledTable id="steps" title={text.steps.title} none={text.steps.none} folded={text.steps.folded(lost.steps.length)} columns={[words.custody.happened, text.steps.what, text.steps.by]} rows={rows} />;
}
