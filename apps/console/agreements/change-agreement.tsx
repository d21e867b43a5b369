import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { Agreement } from '../api/shapes';
import { asCode, isCode } from '../format/code';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { CodeField } from '../set-up/parts';
import { everyPartyQuery, partiesKey, sitesKey } from '../set-up/queries';
import { words } from '../words/words';
import { Others } from './other-parties';

const text = words.agreements;
const longestCode = 30;

/** What an agreement is called, whom its terms may name, and its end where that was entered wrongly. */
export function ChangeAgreement({ agreement, onClose }: { readonly agreement: Agreement; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const parties = useQuery(everyPartyQuery(api));
  const [code, setCode] = useState(agreement.code);
  const [others, setOthers] = useState<readonly string[]>(agreement.otherPartyIds);
  const [endedOn, setEndedOn] = useState(agreement.endedOn ?? '');
  const fields = { code: `${id}-code`, otherPartyIds: `${id}-others`, endedOn: `${id}-end` };
  const { errors, busy, submit } = useSending({ send: api.changeAgreement, fields, changes: [sitesKey, partiesKey, ['month-end']], onDone: onClose });
  const hasEnded = agreement.endedOn !== null;
  const send = () =>
    submit({ id: agreement.id, revision: agreement.revision, body: { code: asCode(code), otherPartyIds: [...others], ...(hasEnded ? { endedOn: endedOn === '' ? null : endedOn } : {}) } }, [
      unless(isCode({ typed: code, longest: longestCode }), fields.code, words.setUp.longCodeWrong),
    ]);
  return (
    <FormDialog title={text.changeTitle(agreement.code)} lead={text.changeLead} errors={errors} busy={busy} action={words.setUp.save} onSubmit={send} onClose={onClose}>
      <CodeField id={fields.code} hint={text.codeHint} error={errorAt(errors, fields.code)} value={code} onValue={setCode} />
      {hasEnded ? <Field id={fields.endedOn} type="date" label={text.endedOn} hint={text.endedOnHint} error={errorAt(errors, fields.endedOn)} value={endedOn} onValue={setEndedOn} /> : null}
      <Others id={fields.otherPartyIds} parties={(parties.data ?? []).filter((party) => party.id !== agreement.partyId)} chosen={others} kept={agreement.otherPartyIds} onChosen={setOthers} />
    </FormDialog>
  );
}
