import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { Agreement } from '../api/shapes';
import { asCode, isCode } from '../format/code';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { nameIn } from '../parts/name-in';
import { useChangedMeanwhile } from '../parts/use-changed-meanwhile';
import { unless, useSending } from '../parts/use-sending';
import { dayInWords } from '../parts/use-typed-form';
import { useOperator } from '../session/operator';
import { CodeField } from '../set-up/parts';
import { everyPartyQuery, partiesKey, sitesKey } from '../set-up/queries';
import { words } from '../words/words';
import { Others } from './other-parties';

const text = words.agreements;
const longestCode = 30;

interface Entered {
  readonly code: string;
  readonly others: readonly string[];
  readonly endedOn: string;
}

/** What an agreement is called, whom its terms may name, and its end where that was entered wrongly. */
export function ChangeAgreement({ agreement, onClose }: { readonly agreement: Agreement; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const parties = useQuery(everyPartyQuery(api));
  const [code, setCode] = useState(agreement.code);
  const [others, setOthers] = useState<readonly string[]>(agreement.otherPartyIds);
  const [endedOn, setEndedOn] = useState(agreement.endedOn ?? '');
  // A colleague may take the end back meanwhile, and whoever keeps to their own day has to see and send it.
  const [hadEnded] = useState(agreement.endedOn !== null);
  const fields = { code: `${id}-code`, otherPartyIds: `${id}-others`, endedOn: `${id}-end` };
  const edited = {
    thing: agreement,
    read: api.agreement,
    enteredOf: (of: Agreement): Entered => ({ code: of.code, others: of.otherPartyIds, endedOn: of.endedOn ?? '' }),
    fields: {
      code: { label: words.setUp.code }, endedOn: { label: text.endedOn, says: dayInWords },
      others: { label: text.others, says: (ids: readonly string[]) => ids.map(nameIn(parties.data)).sort().join(', ') },
    },
  };
  const onEntered = (entered: Entered) => {
    setCode(entered.code);
    setOthers(entered.others);
    setEndedOn(entered.endedOn);
  };
  const { seen, onRefused, conflict } = useChangedMeanwhile(edited, { entered: { code, others, endedOn }, onEntered });
  const { errors, busy, submit } = useSending({ send: api.changeAgreement, fields, changes: [sitesKey, partiesKey, ['month-end']], onDone: onClose, onRefused });
  const hasEnded = hadEnded || (seen ?? agreement).endedOn !== null;
  const send = () =>
    submit({ id: agreement.id, revision: (seen ?? agreement).revision, body: { code: asCode(code), otherPartyIds: [...others], ...(hasEnded ? { endedOn: endedOn === '' ? null : endedOn } : {}) } }, [
      unless(isCode({ typed: code, longest: longestCode }), fields.code, words.setUp.longCodeWrong),
    ]);
  return (
    <FormDialog title={text.changeTitle(agreement.code)} lead={text.changeLead} errors={errors} conflict={conflict} busy={busy} action={words.setUp.save} onSubmit={send} onClose={onClose}>
      <CodeField id={fields.code} hint={text.codeHint} error={errorAt(errors, fields.code)} value={code} onValue={setCode} />
      {hasEnded ? <Field id={fields.endedOn} type="date" label={text.endedOn} hint={text.endedOnHint} error={errorAt(errors, fields.endedOn)} value={endedOn} onValue={setEndedOn} /> : null}
      <Others id={fields.otherPartyIds} parties={(parties.data ?? []).filter((party) => party.id !== agreement.partyId)} chosen={others} kept={agreement.otherPartyIds} onChosen={setOthers} />
    </FormDialog>
  );
}
