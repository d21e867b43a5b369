import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { KeyException } from '../../api/shapes';
import { dayOf, formatDay } from '../../format/day';
import { locale } from '../../format/locale';
import { Answer, Blank } from '../../parts/answer';
import { Confirm } from '../../parts/confirm';
import { Denied } from '../../parts/denied';
import { Field } from '../../parts/field';
import { errorAt } from '../../parts/form';
import { FormDialog } from '../../parts/form-dialog';
import { Page } from '../../parts/page';
import { SelectField } from '../../parts/select-field';
import { useMutation } from '../../parts/use-mutation';
import { unless, useSending } from '../../parts/use-sending';
import { Wide } from '../../parts/wide';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { everySiteQuery, peopleQuery } from '../queries';
import { OpenButton, SetUpViews } from './parts';
import { keyExceptionsQuery, setUpKey } from './queries';

const text = words.keySetUp.exceptions;

/** `keys/exceptions`: for whom of a site the owner lets cash-box keys through. */
export function KeyExceptionsPage() {
  const { api, may } = useOperator();
  const [isGranting, setGranting] = useState(false);
  const [ending, setEnding] = useState<KeyException | null>(null);
  const allowed = may('key-exception.read');
  const question = useQuery({ ...keyExceptionsQuery(api), enabled: allowed });
  if (!allowed) return <Denied title={text.title} />;
  const grant = may('key-exception.grant') ? <OpenButton onClick={() => setGranting(true)}>{text.grant}</OpenButton> : null;
  return (
    <Page title={text.title} lead={text.lead} actions={<SetUpViews />}>
      <Answer question={question} lines={4}>
        {(exceptions) =>
          exceptions.length === 0 ? (
            <Blank title={text.none}>{grant}</Blank>
          ) : (
            <>
              <div>{grant}</div>
              <Exceptions exceptions={exceptions} onEnd={may('key-exception.end') ? setEnding : null} />
            </>
          )
        }
      </Answer>
      {isGranting ? <Grant onClose={() => setGranting(false)} /> : null}
      {ending === null ? null : <End exception={ending} onClose={() => setEnding(null)} />}
    </Page>
  );
}

function Exceptions({ exceptions, onEnd }: { readonly exceptions: readonly KeyException[]; readonly onEnd: ((exception: KeyException) => void) | null }) {
  const { api } = useOperator();
  const sites = useQuery(everySiteQuery(api)).data;
  const people = useQuery(peopleQuery(api)).data;
  const whom = ({ siteId, personId }: KeyException): string =>
    siteId === null ? (people?.find(({ id }) => id === personId)?.name ?? '') : text.everybody(sites?.find(({ id }) => id === siteId)?.name ?? '');
  const day = (instant: string): string => formatDay(dayOf(new Date(instant)), locale);
  return (
    <Wide title={text.title}>
      <table>
        <caption className="visually-hidden">{text.title}</caption>
        <thead>
          <tr>
            <th scope="col">{text.label}</th>
            <th scope="col">{text.forWhom}</th>
            <th scope="col">{text.from}</th>
            <th scope="col">{text.until}</th>
            <th scope="col">{text.reviewOn}</th>
            <th scope="col">
              <span className="visually-hidden">{words.commands}</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {exceptions.map((exception) => (
            <tr key={exception.id}>
              <th scope="row">
                {exception.label} <div className="soft small">{exception.reason}</div>
              </th>
              <td>{whom(exception)}</td>
              <td>{day(exception.from)}</td>
              <td>{exception.until === null ? text.holds : day(exception.until)}</td>
              <td>{formatDay(exception.reviewOn, locale)}</td>
              <td>{exception.until === null && onEnd !== null ? <OpenButton about={exception.label} onClick={() => onEnd(exception)}>{text.end}</OpenButton> : null}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}

function Grant({ onClose }: { readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const sites = useQuery(everySiteQuery(api));
  const people = useQuery(peopleQuery(api));
  const ofSites = people.data?.filter(({ employedBy, leftOn }) => employedBy === 'site' && leftOn === null);
  const [kind, setKind] = useState<'site' | 'person'>('site');
  const [chosen, setChosen] = useState('');
  const [label, setLabel] = useState('');
  const [reason, setReason] = useState('');
  const [reviewOn, setReviewOn] = useState('');
  const fields = { siteId: `${id}-whom`, personId: `${id}-whom`, label: `${id}-label`, reason: `${id}-reason`, reviewOn: `${id}-review` };
  const { errors, busy, submit } = useSending({ send: api.grantKeyException, fields, changes: [setUpKey], onDone: onClose });
  const send = () =>
    submit({ siteId: kind === 'site' ? chosen : null, personId: kind === 'person' ? chosen : null, label, reason, reviewOn }, [
      unless(chosen !== '', fields.siteId, text.chosenMissing),
      unless(label.trim() !== '', fields.label, text.labelMissing),
      unless(reason.trim().length >= 3, fields.reason, text.reasonMissing),
      unless(reviewOn !== '', fields.reviewOn, text.reviewMissing),
    ]);
  const options = ((kind === 'site' ? sites.data : ofSites) ?? []).map((each) => ({ value: each.id, text: `${each.name} (${each.code})` }));
  return (
    <FormDialog title={text.grant} errors={errors} busy={busy} action={text.grantAction} onSubmit={send} onClose={onClose}>
      <SelectField
        id={`${id}-kind`} label={text.kind} value={kind} options={(['site', 'person'] as const).map((each) => ({ value: each, text: text.kinds[each] }))}
        onValue={(value) => {
          setKind(value === 'person' ? 'person' : 'site');
          setChosen('');
        }}
      />
      <SelectField id={fields.siteId} label={text[kind]} error={errorAt(errors, fields.siteId)} value={chosen} none={text.choose} isLoading={(kind === 'site' ? sites : people).isLoading} options={options} onValue={setChosen} />
      <Field id={fields.label} label={text.label} hint={text.labelHint} autoComplete="off" error={errorAt(errors, fields.label)} value={label} onValue={setLabel} />
      <Field id={fields.reason} label={text.reason} error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} />
      <Field id={fields.reviewOn} type="date" label={text.reviewOn} error={errorAt(errors, fields.reviewOn)} value={reviewOn} onValue={setReviewOn} />
    </FormDialog>
  );
}

function End({ exception, onClose }: { readonly exception: KeyException; readonly onClose: () => void }) {
  const { api } = useOperator();
  const client = useQueryClient();
  const ending = useMutation({
    mutationFn: (_asked: void, key) => api.endKeyException(exception.id, key),
    onSuccess: async () => {
      await client.invalidateQueries({ queryKey: setUpKey });
      onClose();
    },
  });
  return (
    <Confirm title={text.endTitle(exception.label)} action={text.end} busy={ending.isPending} error={ending.error} onConfirm={() => ending.mutate()} onClose={onClose}>
      <p>{text.endWhat}</p>
    </Confirm>
  );
}
