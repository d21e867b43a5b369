import { infiniteQueryOptions, useInfiniteQuery, useQuery } from '@tanstack/react-query';
import { useId } from 'react';
import { Link } from 'react-router';
import type { OperatorApi } from '../api/operator-api';
import type { AuditFilter } from '../api/set-up-api';
import type { AuditEntry } from '../api/shapes';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { useAddressParameters } from '../parts/address-parameters';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { More } from '../parts/more';
import { Page } from '../parts/page';
import { SelectField } from '../parts/select-field';
import { TitledTable } from '../parts/titled-table';
import { membersQuery, useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { Changed } from './changes-section';

const text = words.audit;
const kinds: Readonly<Record<string, string | undefined>> = text.kinds;

const auditQuery = (api: OperatorApi, filter: AuditFilter) =>
  infiniteQueryOptions({
    queryKey: ['audit-trail', 'every', filter],
    queryFn: ({ pageParam, signal }) => api.auditEntries(filter, pageParam, signal),
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
  });

/** `audit`: who changed what, narrowed by the sort of thing and by who it was; the choice stands in the address. */
export function AuditPage() {
  const { api, may } = useOperator();
  const id = useId();
  const [parameters, change] = useAddressParameters();
  const filter = { kind: parameters.get('kind') ?? '', actor: parameters.get('by') ?? '' };
  const members = useQuery({ ...membersQuery(api), enabled: may('member.read') });
  if (!may('audit-trail.read')) return <Denied title={text.title} />;
  const choose = (name: 'kind' | 'by') => (value: string) => change({ [name]: value });
  const options = Object.entries(text.kinds).map(([value, said]) => ({ value, text: said })).sort((one, other) => one.text.localeCompare(other.text, locale));
  return (
    <Page title={text.title} lead={text.lead}>
      <div className="form">
        <SelectField id={`${id}-kind`} label={text.kind} none={text.everyKind} value={filter.kind} options={options} onValue={choose('kind')} />
        {members.data === undefined ? null : (
          <SelectField id={`${id}-by`} label={text.actor} none={text.everybody} value={filter.actor} options={members.data.items.map((member) => ({ value: `user:${member.id}`, text: member.name }))} onValue={choose('by')} />
        )}
      </div>
      <Listed key={JSON.stringify(filter)} filter={filter} />
    </Page>
  );
}

function Listed({ filter }: { readonly filter: AuditFilter }) {
  const { api } = useOperator();
  const nameOf = useActorName();
  const question = useInfiniteQuery(auditQuery(api, filter));
  const found = question.data?.pages.flatMap((page) => page.items);
  const { changes } = words.machines;
  return (
    <>
      <Answer question={{ ...question, data: found }} lines={10}>
        {(entries) => (
          <TitledTable
            id="entries" title={changes.title} none={text.none} columns={[changes.when, changes.who, text.kind, text.which, changes.what]}
            rows={entries.map((entry) => (
              <tr key={entry.id}>
                <th scope="row">{formatInstant(entry.recordedAt, locale)}</th>
                <td>{nameOf(entry.actor)}</td>
                <td>{kinds[entry.kind] ?? entry.kind.replaceAll('_', ' ')}</td>
                <td>
                  <Which entry={entry} />
                </td>
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

/** Pages of the things that have one. */
const pages: Readonly<Record<string, string | undefined>> = { site: 'sites', machine: 'machines', party: 'parties', tax_area: 'set-up/tax-areas', key_code: 'keys/codes', key_copy: 'keys/copies', webhook: 'webhooks', collection: 'collections', payment_run: 'payment-runs' };

/** What the thing is called, as far as the entry tells, leading to its page; what was removed has none any more. */
function Which({ entry: { kind, thingId, thingName, action, before, after } }: { readonly entry: AuditEntry }) {
  const { to } = useOperator();
  const told = { ...before, ...after };
  const name = ['name', 'title', 'tag', 'number', 'code', 'label'].map((column) => told[column]).find((value) => typeof value === 'string' && value !== '');
  // What was removed is called as it was when it went.
  const said = thingName ?? (typeof name === 'string' ? name : null);
  const page = pages[kind];
  if (page === undefined || action === 'delete') return said;
  return <Link to={to(`${page}/${thingId}`)}>{said ?? kinds[kind] ?? kind}</Link>;
}
