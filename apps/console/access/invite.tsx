import { useId, useState } from 'react';
import type { CreatedLink } from '../api/shapes';
import { Dialog } from '../parts/dialog';
import { Field } from '../parts/field';
import { errorAt, Form } from '../parts/form';
import { unless, useSending } from '../parts/use-sending';
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
  const id = useId();
  const [email, setEmail] = useState('');
  const [member, setMember] = useState<Membership>({ role: 'bookkeeper', personId: null, siteIds: [] });
  const fields = { email: `${id}-email`, role: `${id}-role`, personId: `${id}-person`, siteIds: `${id}-sites` };
  const { errors, busy, submit } = useSending({ send: api.invite, fields, changes: [openLinksQuery(api).queryKey], onDone: onMade });
  const text = words.people;
  const send = () => submit({ email: email.trim(), ...bodyOf(member) }, [unless(email.trim() !== '', fields.email, text.emailMissing), ...missingOf(member, fields)]);
  return (
    <Dialog title={text.inviteTitle} onClose={onClose} canClose={!busy}>
      <p className="soft">{text.inviteLead}</p>
      <Form errors={errors} busy={busy} action={text.makeInvitation} onSubmit={send}>
        <Field id={fields.email} type="email" label={text.email} autoComplete="off" error={errorAt(errors, fields.email)} value={email} onValue={setEmail} />
        <MemberFields ids={fields} member={member} errors={errors} onMember={setMember} />
      </Form>
      <div>
        <button type="button" className="button" onClick={onClose} disabled={busy}>
          {words.cancel}
        </button>
      </div>
    </Dialog>
  );
}
