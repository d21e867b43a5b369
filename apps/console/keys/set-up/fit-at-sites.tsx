import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { FitAtSitesResponse } from '../../generated';
import type { KeySite } from '../../api/shapes';
import { Dialog } from '../../parts/dialog';
import { Field } from '../../parts/field';
import { errorAt } from '../../parts/form';
import { FormDialog } from '../../parts/form-dialog';
import { SelectField } from '../../parts/select-field';
import { unless, useSending } from '../../parts/use-sending';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { keyCodesQuery } from '../queries';
import { at, today } from './day-field';
import { setUpKey } from './queries';
import { withoutLock } from './sites';
import styles from './set-up.module.css';

const text = words.keySetUp.fit;
export const allOpens = ['cash-box', 'play-area', 'everything'] as const;
export type Opens = (typeof allOpens)[number];
export const classOf = (opens: Opens): 'access' | 'cash-box' => (opens === 'play-area' ? 'access' : 'cash-box');

/** One cut for every machine of the sites that has no such lock yet, and afterwards what came of it. */
export function FitAtSites({ sites, onClose }: { readonly sites: readonly KeySite[]; readonly onClose: () => void }) {
  const [done, setDone] = useState<FitAtSitesResponse | null>(null);
  return done === null ? <Asking sites={sites} onDone={setDone} onClose={onClose} /> : <Done done={done} onClose={onClose} />;
}

interface AskingProps {
  readonly sites: readonly KeySite[];
  readonly onDone: (done: FitAtSitesResponse) => void;
  readonly onClose: () => void;
}

function Asking({ sites, onDone, onClose }: AskingProps) {
  const { api } = useOperator();
  const id = useId();
  const codes = useQuery(keyCodesQuery(api));
  const [opens, setOpens] = useState<Opens>('cash-box');
  const [keyCodeId, setCode] = useState('');
  const [since, setSince] = useState(today());
  const [ownPlace, setPlace] = useState<string | null>(null);
  const [isChanging, setChanging] = useState(false);
  const [reason, setReason] = useState('');
  const place = ownPlace ?? text.places[opens];
  const fields = { opens: `${id}-opens`, keyCodeId: `${id}-code`, fittedAt: `${id}-since`, place: `${id}-place`, change: `${id}-reason` };
  const { errors, busy, submit } = useSending({ send: api.fitLocksAtSites, fields, changes: [setUpKey], onDone });
  const [only] = sites;
  const sum = (of: (site: KeySite) => number): number => sites.reduce((total, site) => total + of(site), 0);
  const send = () =>
    submit({ siteIds: sites.map(({ siteId }) => siteId), opens, keyCodeId, place: place.trim(), ...at('fittedAt', since), ...(isChanging ? { change: { reason } } : {}) }, [
      unless(keyCodeId !== '', fields.keyCodeId, text.codeMissing),
      unless(since !== '', fields.fittedAt, text.sinceMissing),
      unless(!isChanging || reason.trim().length >= 3, fields.change, words.reasonMissing),
    ]);
  return (
    <FormDialog
      title={sites.length === 1 && only !== undefined ? text.titleAt(only.siteName) : text.title(sites.length)}
      lead={`${text.there({ machines: sum((site) => site.machines), without: sum((site) => withoutLock(site, opens)) })}`}
      errors={errors} busy={busy} action={text.action} onSubmit={send} onClose={onClose}
    >
      <OpensField
        id={fields.opens} opens={opens}
        onOpens={(value) => {
          setOpens(value);
          if (classOf(value) !== classOf(opens)) setCode('');
        }}
      />
      <CodeField id={fields.keyCodeId} opens={opens} codes={codes.data} isLoading={codes.isLoading} error={errorAt(errors, fields.keyCodeId)} value={keyCodeId} onValue={setCode} />
      <Field id={fields.fittedAt} type="date" label={text.since} hint={text.sinceHint} max={today()} error={errorAt(errors, fields.fittedAt)} value={since} onValue={setSince} />
      <Field id={fields.place} label={text.place} hint={text.placeHint} autoComplete="off" error={errorAt(errors, fields.place)} value={place} onValue={setPlace} />
      <fieldset className={styles.choices}>
        <legend>{text.others}</legend>
        {[false, true].map((change) => (
          <label key={String(change)}>
            <input type="radio" name={`${id}-others`} checked={isChanging === change} onChange={() => setChanging(change)} />
            {change ? text.changeThem : text.keep}
          </label>
        ))}
      </fieldset>
      {isChanging ? <Field id={fields.change} label={words.reason} hint={words.keySetUp.reasonHint} error={errorAt(errors, fields.change)} value={reason} onValue={setReason} /> : null}
    </FormDialog>
  );
}

export function OpensField({ id, opens, onOpens }: { readonly id: string; readonly opens: Opens; readonly onOpens: (opens: Opens) => void }) {
  return (
    <SelectField
      id={id} label={text.opens} value={opens} options={allOpens.map((each) => ({ value: each, text: text.what[each] }))}
      onValue={(value) => onOpens(allOpens.find((each) => each === value) ?? 'cash-box')}
    />
  );
}

interface CodeFieldProps {
  readonly id: string;
  readonly opens: Opens;
  readonly label?: string;
  readonly codes: readonly { readonly id: string; readonly code: string; readonly class: 'access' | 'cash-box' }[] | undefined;
  readonly isLoading: boolean;
  readonly error: string | undefined;
  readonly value: string;
  readonly onValue: (keyCodeId: string) => void;
}

/** Only cuts of the class that may open it: the other would be refused. */
export function CodeField({ opens, codes, label = text.code, ...field }: CodeFieldProps) {
  const fitting = codes?.filter((code) => code.class === classOf(opens));
  return (
    <SelectField {...field} label={label} none={words.keySetUp.person.choose} options={fitting?.map((code) => ({ value: code.id, text: code.code })) ?? []}>
      {fitting?.length === 0 ? <span className="soft small">{text.noCode(words.keys.class[classOf(opens)])}</span> : null}
    </SelectField>
  );
}

function Done({ done: { fitted, changed, leftAlone }, onClose }: { readonly done: FitAtSitesResponse; readonly onClose: () => void }) {
  return (
    <Dialog title={text.done({ fitted, changed })} onClose={onClose}>
      {leftAlone.length === 0 ? null : (
        <>
          <p>{text.kept(leftAlone.length)}</p>
          <ul className="small">
            {leftAlone.map(({ machineId, machineTag, siteCode, keyCode }) => (
              <li key={machineId}>{text.keptOne({ machine: machineTag, site: siteCode, code: keyCode })}</li>
            ))}
          </ul>
        </>
      )}
      <div>
        <button type="button" className="button button-main" onClick={onClose}>
          {text.close}
        </button>
      </div>
    </Dialog>
  );
}
