import { useMutation, useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { Member } from '../api/shapes';
import { Dialog } from '../parts/dialog';
import type { FormError } from '../parts/error-summary';
import { Form } from '../parts/form';
import { formErrorsOf } from '../parts/form-errors';
import { membersQuery } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { bodyOf, MemberFields, missingOf, type Membership } from './member-fields';

/** Gives somebody another role, other sites or another person, as the reader has seen them: what a colleague changed meanwhile is not lost. */
export function ChangeMember({ member, onClose }: { readonly member: Member; readonly onClose: () => void }) {
  const { api } = useOperator();
  const client = useQueryClient();
  const id = useId();
  const [entered, setEntered] = useState<Membership>(member);
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const fields = { role: `${id}-role`, personId: `${id}-person`, siteIds: `${id}-sites` };
  const changing = useMutation({
    mutationFn: () => api.changeMember(member, bodyOf(entered)),
    onSuccess: onClose,
    onError: (error) => setErrors(formErrorsOf(error, { fields })),
    onSettled: () => client.invalidateQueries({ queryKey: membersQuery(api).queryKey }),
  });
  const text = words.people;
  const submit = () => {
    const missing = missingOf(entered, fields);
    setErrors(missing);
    if (missing.length === 0) changing.mutate();
  };
  return (
    <Dialog title={text.changeOf(member.name)} onClose={onClose} canClose={!changing.isPending}>
      <p className="soft">{text.changeLead}</p>
      <Form errors={errors} busy={changing.isPending} action={text.save} onSubmit={submit}>
        <MemberFields ids={fields} member={entered} errors={errors} onMember={setEntered} />
      </Form>
      <div>
        <button type="button" className="button" onClick={onClose} disabled={changing.isPending}>
          {words.cancel}
        </button>
      </div>
    </Dialog>
  );
}
