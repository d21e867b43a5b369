import { useInfiniteQuery } from '@tanstack/react-query';
import type { AuditEntry } from '../api/shapes';
import { formatDay, formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Answer } from '../parts/answer';
import { More } from '../parts/more';
import { TitledTable } from '../parts/titled-table';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { auditTrailQuery } from '../set-up/queries';
import { words } from '../words/words';
import { columnsChanged } from './changes';

const text = words.machines.changes;
/** Words for values that the database keeps as codes, by kind of thing and column. */
const values: Readonly<Record<string, Readonly<Record<string, Readonly<Record<string, string>>>>>> = {
  audit_file: { state: words.auditFiles.state },
  collection: { state: words.collectionState },
  import_file: { state: words.imports.state },
  key_case: { state: words.keyCases.state },
  membership: { role: words.roles },
  payment_run: { state: words.moneyOut.state },
  webhook: { state: words.webhooks.state },
};
const valueOf = (kind: string, column: string, value: string): string | undefined => (kind === 'machine' && column === 'kind' ? words.machineKind(value) : values[kind]?.[column]?.[value]);
const reader = { value: valueOf, columns: text.columns, nothing: text.nothing, day: (day: string) => formatDay(day, locale), moment: (instant: string) => formatInstant(instant, locale) };

/** Who entered a thing and changed it, the latest first; for whoever may read the audit trail. */
export function ChangesSection({ thingId }: { readonly thingId: string }) {
  const { api, may } = useOperator();
  const allowed = may('audit-trail.read');
  const question = useInfiniteQuery({ ...auditTrailQuery(api, thingId), enabled: allowed });
  const nameOf = useActorName();
  if (!allowed) return null;
  return (
    <>
      <Answer question={{ ...question, data: question.data?.pages.flatMap((page) => page.items) }} lines={3}>
        {(entries) => (
          <TitledTable
            id="changes" title={text.title} none={text.none} columns={[text.when, text.who, text.what]}
            rows={entries.map((entry) => (
              <tr key={entry.id}>
                <th scope="row">{formatInstant(entry.recordedAt, locale)}</th>
                <td>{nameOf(entry.actor)}</td>
                <td>
                  <Changed entry={entry} />
                </td>
              </tr>
            ))}
          />
        )}
      </Answer>
      <More question={question} />
    </>
  );
}

/** What was done, and of a change what it was before and is now, column by column. */
export function Changed({ entry }: { readonly entry: AuditEntry }) {
  const actor = useActorName();
  return (
    <>
      {text.actions[entry.action]}
      {columnsChanged(entry, { ...reader, actor }).map(({ column, values }) => (
        <div key={column} className="soft small">
          {values === null ? column : text.change({ column, ...values })}
        </div>
      ))}
    </>
  );
}
