import { useQuery } from '@tanstack/react-query';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Answer } from '../parts/answer';
import { TitledTable } from '../parts/titled-table';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { auditTrailQuery } from '../set-up/queries';
import { words } from '../words/words';
import { columnsChanged } from './changes';

const text = words.machines.changes;

/** Who entered a thing and changed it, the latest first; for whoever may read the audit trail. */
export function ChangesSection({ thingId }: { readonly thingId: string }) {
  const { api, may } = useOperator();
  const allowed = may('audit-trail.read');
  const question = useQuery({ ...auditTrailQuery(api, thingId), enabled: allowed });
  const nameOf = useActorName();
  if (!allowed) return null;
  return (
    <Answer question={question} lines={3}>
      {(entries) => (
        <TitledTable
          id="changes" title={text.title} none={text.none} columns={[text.when, text.who, text.what]}
          rows={entries.map((entry) => (
            <tr key={entry.id}>
              <th scope="row">{formatInstant(entry.recordedAt, locale)}</th>
              <td>{nameOf(entry.actor)}</td>
              <td>
                {text.actions[entry.action]}
                {columnsChanged(entry, text.nothing).map((change) => (
                  <div key={change.column} className="soft small">
                    {text.change(change)}
                  </div>
                ))}
              </td>
            </tr>
          ))}
        />
      )}
    </Answer>
  );
}
