import { useId, useState } from 'react';
import type { BringCertificate } from '../api/shapes';
import { toInstant } from '../keys/moment';
import { Field } from '../parts/field';
import { FileField } from '../parts/file-field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { SelectField } from '../parts/select-field';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';

const text = words.certificates.bring;
const forms = ['pkcs12', 'pem', 'elsewhere', 'madeHere'] as const;
type Form = (typeof forms)[number];
type Files = Readonly<Record<'pkcs12' | 'privateKey' | 'certificate', File | null>>;

/** Puts another certificate to use: a file of the operator's own, a key with its certificates, a key that lies elsewhere, or one made here. */
export function BringCertificateDialog({ onClose }: { readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const [form, setForm] = useState<Form>('pkcs12');
  const [files, setFiles] = useState<Files>({ pkcs12: null, privateKey: null, certificate: null });
  const [password, setPassword] = useState('');
  const [from, setFrom] = useState('');
  const [chainLeftOut, setChainLeftOut] = useState(false);
  const fields = { pkcs12: `${id}-pkcs12`, password: `${id}-password`, privateKey: `${id}-key`, certificate: `${id}-certificate`, inUseFrom: `${id}-from` };
  const { errors, busy, submit } = useSending({
    send: async (_asked: undefined, key) => api.bringCertificate({ ...(await materialOf(form, files, password)), ...(chainLeftOut && form !== 'madeHere' ? { chainLeftOut: true as const } : {}), ...(from === '' ? {} : { inUseFrom: toInstant(from) ?? from }) }, key),
    fields,
    changes: [['signing-certificates'], ['month-end']],
    onDone: onClose,
  });
  const wanted = (name: keyof Files, forForms: readonly Form[]) => unless(!forForms.includes(form) || files[name] !== null, fields[name], text.fileMissing);
  const send = () => submit(undefined, [wanted('pkcs12', ['pkcs12']), wanted('privateKey', ['pem']), wanted('certificate', ['pem', 'elsewhere'])]);
  const fileField = (name: keyof Files, accept: string) => (
    <FileField
      key={name} id={fields[name]} label={text.file[name]} hint={text.fileHint[name]} error={errorAt(errors, fields[name])} accept={accept}
      onFile={(file) => setFiles((before) => ({ ...before, [name]: file }))}
    />
  );
  return (
    <FormDialog title={text.title} lead={text.lead} errors={errors} busy={busy} action={text.action} onSubmit={send} onClose={onClose}>
      <SelectField id={`${id}-form`} label={text.form} value={form} options={forms.map((value) => ({ value, text: text.forms[value] }))} onValue={(value) => setForm(value as Form)} />
      {form === 'pkcs12' ? fileField('pkcs12', '.p12,.pfx,application/x-pkcs12') : null}
      {form === 'pkcs12' ? <Field id={fields.password} type="password" label={text.password} hint={text.passwordHint} autoComplete="off" error={errorAt(errors, fields.password)} value={password} onValue={setPassword} /> : null}
      {form === 'pem' ? fileField('privateKey', '.pem,.key') : null}
      {form === 'pem' || form === 'elsewhere' ? fileField('certificate', '.pem,.crt,.cer') : null}
      {form === 'elsewhere' ? <p className="soft">{text.elsewhere}</p> : null}
      {form === 'madeHere' ? (
        <p className="soft">{text.madeHere}</p>
      ) : (
        <label>
          <input type="checkbox" checked={chainLeftOut} onChange={(event) => setChainLeftOut(event.currentTarget.checked)} /> {text.chainLeftOut}
        </label>
      )}
      <Field id={fields.inUseFrom} type="datetime-local" label={text.from} hint={text.fromHint} error={errorAt(errors, fields.inUseFrom)} value={from} onValue={setFrom} />
    </FormDialog>
  );
}

async function materialOf(form: Form, { pkcs12, privateKey, certificate }: Files, password: string): Promise<BringCertificate> {
  if (form === 'madeHere') return { madeHere: true };
  if (form === 'pkcs12') return { pkcs12: base64Of(new Uint8Array((await pkcs12?.arrayBuffer()) ?? [])), password };
  const certificates = { certificate: (await certificate?.text()) ?? '' };
  return form === 'pem' ? { ...certificates, privateKey: (await privateKey?.text()) ?? '' } : certificates;
}

function base64Of(bytes: Uint8Array): string {
  return btoa(Array.from(bytes, (byte) => String.fromCharCode(byte)).join(''));
}
