import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { ProposeBankDetailData } from '../generated';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { SelectField } from '../parts/select-field';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { moneyOut, partiesQuery } from './queries';

const text = words.moneyOut.accounts;

type Account = ProposeBankDetailData['body']['account'];

const empty = {
  partyId: '', kind: 'iban' as 'iban' | 'us', holderName: '', iban: '', bic: '', routingNumber: '', accountNumber: '', accountType: 'checking' as 'checking' | 'savings', holderKind: 'business' as 'business' | 'person',
  companyId: '', bankName: '', reason: '',
};
type Typed = typeof empty;
type Ids = Readonly<Record<keyof Typed, string>>;

/** What a letter says of an account. A second person confirms it. */
export function ProposeAccount({ onClose }: { readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const parties = useQuery(partiesQuery(api));
  const [typed, setTyped] = useState(empty);
  const set = (part: Partial<Typed>) => setTyped((before) => ({ ...before, ...part }));
  const ids = Object.fromEntries(Object.keys(empty).map((name) => [name, `${id}-${name}`])) as Ids;
  // A refusal names the account as a whole: it leads to its number.
  const fields = { partyId: ids.partyId, reason: ids.reason, account: typed.kind === 'iban' ? ids.iban : ids.routingNumber };
  const { errors, busy, submit } = useSending({ send: api.proposeAccount, fields, changes: [moneyOut], onDone: onClose });
  const send = () => submit({ partyId: typed.partyId === '' ? null : typed.partyId, account: accountOf(typed), reason: typed.reason }, missing(typed, ids));
  const own = typed.partyId === '';
  return (
    <FormDialog title={text.propose} lead={text.proposeLead} errors={errors} busy={busy} action={text.propose} onSubmit={send} onClose={onClose}>
      <SelectField
        id={ids.partyId} label={text.whose} none={text.own} isLoading={parties.isLoading} error={errorAt(errors, ids.partyId)} value={typed.partyId} onValue={(partyId) => set({ partyId })}
        options={(parties.data ?? []).map((party) => ({ value: party.id, text: party.name }))}
      />
      <SelectField id={ids.kind} label={text.kind} value={typed.kind} options={(['iban', 'us'] as const).map((value) => ({ value, text: text.kinds[value] }))} onValue={(value) => set({ kind: value === 'us' ? 'us' : 'iban' })} />
      <Field id={ids.holderName} label={text.holder} autoComplete="off" maxLength={200} error={errorAt(errors, ids.holderName)} value={typed.holderName} onValue={(holderName) => set({ holderName })} />
      {typed.kind === 'iban' ? (
        <>
          <Field id={ids.iban} label={text.iban} autoComplete="off" maxLength={50} error={errorAt(errors, ids.iban)} value={typed.iban} onValue={(iban) => set({ iban })} />
          <Field id={ids.bic} label={text.bic} autoComplete="off" maxLength={11} error={errorAt(errors, ids.bic)} value={typed.bic} onValue={(bic) => set({ bic })} />
        </>
      ) : (
        <UsFields ids={ids} typed={typed} set={set} errors={errors} own={own} />
      )}
      <Field id={ids.reason} label={text.reason} maxLength={1000} error={errorAt(errors, ids.reason)} value={typed.reason} onValue={(reason) => set({ reason })} />
    </FormDialog>
  );
}

interface UsFieldsProps {
  readonly ids: Ids;
  readonly typed: Typed;
  readonly set: (part: Partial<Typed>) => void;
  readonly errors: readonly FormError[];
  readonly own: boolean;
}

function UsFields({ ids, typed, set, errors, own }: UsFieldsProps) {
  return (
    <>
      <Field id={ids.routingNumber} label={text.routing} inputMode="numeric" autoComplete="off" maxLength={9} error={errorAt(errors, ids.routingNumber)} value={typed.routingNumber} onValue={(routingNumber) => set({ routingNumber })} />
      <Field id={ids.accountNumber} label={text.number} autoComplete="off" maxLength={17} error={errorAt(errors, ids.accountNumber)} value={typed.accountNumber} onValue={(accountNumber) => set({ accountNumber })} />
      <SelectField id={ids.accountType} label={text.type} value={typed.accountType} options={(['checking', 'savings'] as const).map((value) => ({ value, text: text.types[value] }))} onValue={(value) => set({ accountType: value === 'savings' ? 'savings' : 'checking' })} />
      <SelectField id={ids.holderKind} label={text.holderKind} value={typed.holderKind} options={(['business', 'person'] as const).map((value) => ({ value, text: text.holderKinds[value] }))} onValue={(value) => set({ holderKind: value === 'person' ? 'person' : 'business' })} />
      {own ? (
        <>
          <Field id={ids.companyId} label={text.companyId} autoComplete="off" maxLength={10} error={errorAt(errors, ids.companyId)} value={typed.companyId} onValue={(companyId) => set({ companyId })} />
          <Field id={ids.bankName} label={text.bankName} autoComplete="off" maxLength={200} error={errorAt(errors, ids.bankName)} value={typed.bankName} onValue={(bankName) => set({ bankName })} />
        </>
      ) : null}
    </>
  );
}

function accountOf(typed: Typed): Account {
  const { kind, holderName, iban, bic, routingNumber, accountNumber, accountType, holderKind, companyId, bankName, partyId } = typed;
  if (kind === 'iban') return { kind, holderName, iban, bic: bic.trim() === '' ? null : bic.trim().toUpperCase() };
  return { kind, holderName, routingNumber: routingNumber.trim(), accountNumber: accountNumber.trim(), accountType, holderKind, originator: partyId === '' ? { companyId, bankName } : null };
}

function missing(typed: Typed, ids: Ids): (FormError | null)[] {
  const numbers = typed.kind === 'iban' ? (['iban'] as const) : (['routingNumber', 'accountNumber'] as const);
  const originator = typed.kind === 'us' && typed.partyId === '' ? (['companyId', 'bankName'] as const) : [];
  return (['holderName', ...numbers, ...originator, 'reason'] as const).map((name) => unless(typed[name].trim() !== '', ids[name], text.missing));
}
