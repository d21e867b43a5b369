import { useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { CreatedLink } from '../api/shapes';
import { Dialog } from '../parts/dialog';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { errorAt, Form } from '../parts/form';
import { formErrorsOf } from '../parts/form-errors';
import { useMutation } from '../parts/use-mutation';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { bodyOf, MemberFields, missingOf, type Membership } from './member-fields';
import { openLinksQuery } from './queries';

interface InviteProps {
  readonly onMade: (link: CreatedLink) => void;
  readonly onClose: () => void;
}

/** Asks whom to invite as what, and makes the link that they are handed. */
export function Invite({ onMade, onClose }: InviteProps) {
  const { api } = useOperator();
  const client = useQueryClient();
  const id = useId();
  const [email, setEmail] = useState('');
  const [member, setMember] = useState<Membership>({ role: 'bookkeeper', personId: null, siteIds: [] });
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const fields = { email: `${id}-email`, role: `${id}-role`, personId: `${id}-person`, siteIds: `${id}-sites` };
  const inviting = useMutation({
    mutationFn: api.invite,
    onSuccess: async (link) => {
      await client.invalidateQueries({ queryKey: openLinksQuery(api).queryKey });
      onMade(link);
    },
    onError: (error) => setErrors(formErrorsOf(error, { fields })),
  });
  const text = words.people;
  const submit = () => {
    const missing = [...(email.trim() === '' ? [{ fieldId: fields.email, message: text.emailMissing }] : []), ...missingOf(member, fields)];
    setErrors(missing);
    if (missing.length === 0) inviting.mutate({ email: email.trim(), ...bodyOf(member) });
  };
  return (
    <Dialog title={text.inviteTitle} onClose={onClose} canClose={!inviting.isPending}>
      <p className="soft">{text.inviteLead}</p>
      <Form errors={errors} busy={inviting.isPending} action={text.makeInvitation} onSubmit={submit}>
        <Field id={fields.email} type="email" label={text.email} autoComplete="off" error={errorAt(errors, fields.email)} value={email} onValue={setEmail} />
        <MemberFields ids={fields} member={member} errors={errors} onMember={setMember} />
      </Form>
      <div>
        <button type="button" className="button" onClick={onClose} disabled={inviting.isPending}>
          {words.cancel}
        </button>
      </div>
    </Dialog>
  );
}
