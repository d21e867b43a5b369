import { useState } from 'react';
import type { Party } from '../api/shapes';
import { asCode, isCode } from '../format/code';
import { codeFromName } from '../keys/set-up/numbers';
import { Field } from '../parts/field';
import { FormDialog } from '../parts/form-dialog';
import type { Need } from '../parts/needs';
import { linesOf, orNull, useEditForm, useTypedForm } from '../parts/use-typed-form';
import { useOperator } from '../session/operator';
import { AddressField, CodeField, LanguageField } from '../set-up/parts';
import { partiesKey } from '../set-up/queries';
import { words } from '../words/words';

const text = words.setUp.parties;

interface NewPartyProps {
  /** Language and region of the office, as the first proposal. */
  readonly locale: string;
  readonly needs?: readonly Need[];
  readonly onAdded: (party: Party) => void;
  readonly onClose: () => void;
}

/** Somebody who has a share. */
export function NewParty({ locale, needs = [], onAdded, onClose }: NewPartyProps) {
  const { api } = useOperator();
  const [hasOwnCode, setOwnCode] = useState(false);
  const [ownLocale, setOwnLocale] = useState<string | null>(null);
  const written = ownLocale ?? locale;
  const { set, field, errors, busy, submit } = useTypedForm({
    initial: { name: '', code: '', address: '', email: '', locale: '' },
    missing: (now) => ({ name: now.name.trim() === '' && words.setUp.nameMissing, code: !isCode({ typed: now.code }) && words.setUp.codeWrong, locale: written.trim() === '' && words.setUp.operator.localeMissing }),
    body: (now) => ({ name: now.name.trim(), code: asCode(now.code), address: linesOf(now.address), email: orNull(now.email), locale: written.trim() }),
    send: api.createParty,
    changes: [partiesKey, ['money-out']],
    onDone: onAdded,
  });
  return (
    <FormDialog title={text.addTitle} lead={text.noneWhat} errors={errors} busy={busy} needs={needs} action={text.add} onSubmit={submit} onClose={onClose}>
      <Field {...field('name')} label={words.setUp.name} maxLength={200} autoComplete="off" onValue={(name) => set(hasOwnCode ? { name } : { name, code: codeFromName(name) })} />
      <CodeField
        {...field('code')}
        onValue={(code) => {
          setOwnCode(code !== '');
          set({ code });
        }}
      />
      <AddressField {...field('address')} />
      <Field {...field('email')} type="email" label={text.email} hint={text.emailHint} maxLength={254} autoComplete="off" />
      <LanguageField {...field('locale')} value={written} label={text.locale} hint={text.localeHint} onValue={setOwnLocale} />
    </FormDialog>
  );
}

export function ChangeParty({ party, onClose }: { readonly party: Party; readonly onClose: () => void }) {
  const { api } = useOperator();
  const { field, errors, conflict, busy, submit } = useEditForm({
    edited: {
      thing: party,
      read: api.party,
      enteredOf: (of) => ({ name: of.erasedAt === null ? of.name : '', code: of.code, address: of.address.join('\n'), email: of.email ?? '', locale: of.locale }),
      fields: { name: { label: words.setUp.name }, code: { label: words.setUp.code }, address: { label: words.setUp.address }, email: { label: text.email }, locale: { label: text.locale } },
    },
    missing: (now) => ({ name: now.name.trim() === '' && words.setUp.nameMissing, code: !isCode({ typed: now.code }) && words.setUp.codeWrong, locale: now.locale.trim() === '' && words.setUp.operator.localeMissing }),
    body: (now, { id, revision }) => ({ id, revision, body: { name: now.name.trim(), code: asCode(now.code), address: linesOf(now.address), email: orNull(now.email), locale: now.locale.trim() } }),
    send: api.changeParty,
    changes: [partiesKey, ['sites'], ['money-out']],
    onDone: onClose,
  });
  return (
    <FormDialog title={words.setUp.changeTitle(party.name)} errors={errors} conflict={conflict} busy={busy} action={words.setUp.save} onSubmit={submit} onClose={onClose}>
      <Field {...field('name')} label={words.setUp.name} maxLength={200} autoComplete="off" />
      <CodeField {...field('code')} />
      <AddressField {...field('address')} />
      <Field {...field('email')} type="email" label={text.email} hint={text.emailHint} maxLength={254} autoComplete="off" />
      <LanguageField {...field('locale')} label={text.locale} hint={text.localeHint} />
    </FormDialog>
  );
}
