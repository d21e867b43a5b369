import { useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { SigningCertificate } from '../api/shapes';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { toInstant } from '../keys/moment';
import { Confirm } from '../parts/confirm';
import { Field } from '../parts/field';
import { FormDialog } from '../parts/form-dialog';
import { errorAt } from '../parts/form';
import { useMutation } from '../parts/use-mutation';
import { unless, useSending } from '../parts/use-sending';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';

const text = words.certificates.revocation;
const changes = [['signing-certificates']];

/** What was said about a certificate that is not to be believed any more, with what the reader may do about it. */
export function Revocation({ certificate }: { readonly certificate: SigningCertificate }) {
  const { may } = useOperator();
  const nameOf = useActorName();
  const [doing, setDoing] = useState<'revoke' | 'confirm' | null>(null);
  const { revocation } = certificate;
  const when = (instant: string) => formatInstant(instant, locale);
  const close = () => setDoing(null);
  return (
    <>
      {revocation === null ? null : (
        <p className="notice">
          {text.said(when(revocation.countsFrom), revocation.reason, nameOf(revocation.recordedBy))}{' '}
          {revocation.confirmation === 'open' ? text.open(when(revocation.revokedFrom)) : null}
        </p>
      )}
      {revocation?.confirmation === 'open' && may('signing-key.confirm-revocation') ? (
        <div>
          <button type="button" className="button button-small" onClick={() => setDoing('confirm')}>
            {text.confirm}
          </button>
        </div>
      ) : null}
      {revocation === null && may('signing-key.change') ? (
        <div>
          <button type="button" className="button button-small" onClick={() => setDoing('revoke')}>
            {text.revoke}
          </button>
        </div>
      ) : null}
      {doing === 'revoke' ? <Revoke id={certificate.id} onClose={close} /> : null}
      {doing === 'confirm' && revocation !== null ? <ConfirmTime id={certificate.id} from={when(revocation.revokedFrom)} onClose={close} /> : null}
    </>
  );
}

function Revoke({ id, onClose }: { readonly id: string; readonly onClose: () => void }) {
  const { api } = useOperator();
  const fieldId = useId();
  const [from, setFrom] = useState('');
  const [reason, setReason] = useState('');
  const fields = { revokedFrom: `${fieldId}-from`, reason: `${fieldId}-reason` };
  const { errors, busy, submit } = useSending({ send: api.revokeCertificate, fields, changes, onDone: onClose });
  const send = () =>
    submit({ id, body: { reason: reason.trim(), ...(from === '' ? {} : { revokedFrom: toInstant(from) ?? from }) } }, [unless(reason.trim().length >= 3, fields.reason, words.reasonMissing)]);
  return (
    <FormDialog title={text.title} lead={text.lead} errors={errors} busy={busy} action={text.revoke} onSubmit={send} onClose={onClose}>
      <Field id={fields.reason} label={words.reason} autoComplete="off" error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} />
      <Field id={fields.revokedFrom} type="datetime-local" label={text.from} hint={text.fromHint} error={errorAt(errors, fields.revokedFrom)} value={from} onValue={setFrom} />
    </FormDialog>
  );
}

function ConfirmTime({ id, from, onClose }: { readonly id: string; readonly from: string; readonly onClose: () => void }) {
  const { api } = useOperator();
  const client = useQueryClient();
  const confirming = useMutation({
    mutationFn: (_asked: void, key) => api.confirmRevocation(id, key),
    onSuccess: onClose,
    onSettled: () => Promise.all(changes.map((queryKey) => client.invalidateQueries({ queryKey }))),
  });
  return (
    <Confirm title={text.confirmTitle} action={text.confirm} busy={confirming.isPending} error={confirming.error} onConfirm={() => confirming.mutate()} onClose={onClose}>
      <p>{text.confirmWhat(from)}</p>
    </Confirm>
  );
}
