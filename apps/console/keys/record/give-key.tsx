import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { CustodyEvent, KeyCopy, KeyPerson } from '../../api/shapes';
import { Answer } from '../../parts/answer';
import { Dialog } from '../../parts/dialog';
import { SelectField } from '../../parts/select-field';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { copiesAtHandQuery, keyExceptionsQuery } from '../set-up/queries';
import { cashBoxKeyMayGoTo } from './cash-box-receivers';
import { Confirmations } from './confirmations';
import { isConfirmed } from './confirmed';
import { RecordEvent } from './record-event';

const text = words.custody;

/** Hands a key out of a store to somebody whose page this is. */
export function GiveKey({ person }: { readonly person: KeyPerson }) {
  const [open, setOpen] = useState<'choice' | KeyCopy | CustodyEvent | null>(null);
  const close = () => setOpen(null);
  return (
    <div>
      <button type="button" className="button button-main" onClick={() => setOpen('choice')}>
        {text.give}
      </button>
      {open === 'choice' ? <Choice person={person} onChoose={setOpen} onClose={close} /> : null}
      {open !== null && open !== 'choice' && 'number' in open && open.where !== null ? (
        <RecordEvent
          copy={{ keyCopyId: open.id, number: open.number, class: open.class, where: open.where }} movements={['issued']} to={{ kind: 'person', id: person.personId }}
          onRecorded={(event) => setOpen(isConfirmed(event) ? null : event)} onClose={close}
        />
      ) : null}
      {open !== null && open !== 'choice' && 'acknowledgements' in open ? <Confirmations event={open} onClose={close} /> : null}
    </div>
  );
}

interface ChoiceProps {
  readonly person: KeyPerson;
  readonly onChoose: (copy: KeyCopy) => void;
  readonly onClose: () => void;
}

function Choice({ person, onChoose, onClose }: ChoiceProps) {
  const { api, may } = useOperator();
  const id = useId();
  const question = useQuery(copiesAtHandQuery(api));
  const exceptions = useQuery({ ...keyExceptionsQuery(api), enabled: person.siteId !== null && may('key-exception.read') });
  const mayHaveCashBoxKey = cashBoxKeyMayGoTo(person, { exceptions: exceptions.data ?? [], at: new Date() });
  return (
    <Dialog title={text.giveTitle(person.name)} onClose={onClose}>
      <Answer question={{ ...question, data: exceptions.isLoading ? undefined : question.data }} lines={2}>
        {(copies) => {
          const inStores = copies.filter((copy) => copy.where?.holder?.kind === 'store' && (copy.class === 'access' || mayHaveCashBoxKey));
          return inStores.length === 0 ? (
            <p>{text.giveNone}</p>
          ) : (
            <SelectField
              id={id} label={text.which} value="" none={words.keys.holdings.choose}
              options={inStores.map((copy) => ({ value: copy.id, text: text.offered({ number: copy.number, code: copy.code, kind: words.keys.class[copy.class], store: copy.where?.holder?.name ?? '' }) }))}
              onValue={(value) => {
                const copy = inStores.find((each) => each.id === value);
                if (copy !== undefined) onChoose(copy);
              }}
            />
          );
        }}
      </Answer>
      <div>
        <button type="button" className="button" onClick={onClose}>
          {words.cancel}
        </button>
      </div>
    </Dialog>
  );
}
