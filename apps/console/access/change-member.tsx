import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { Member } from '../api/shapes';
import { Dialog } from '../parts/dialog';
import { Form } from '../parts/form';
import { nameIn } from '../parts/name-in';
import { useChangedMeanwhile } from '../parts/use-changed-meanwhile';
import { useSending } from '../parts/use-sending';
import { everySiteQuery, peopleQuery } from '../keys/queries';
import { membersQuery } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { bodyOf, MemberFields, missingOf, type Membership } from './member-fields';

/** Gives somebody another role, other sites or another person, as the reader has seen them: what a colleague changed meanwhile is not lost. */
export function ChangeMember({ member, onClose }: { readonly member: Member; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const [entered, setEntered] = useState<Membership>(member);
  const fields = { role: `${id}-role`, personId: `${id}-person`, siteIds: `${id}-sites` };
  const text = words.people;
  const people = useQuery(peopleQuery(api));
  const sites = useQuery(everySiteQuery(api));
  const edited = {
    thing: member,
    read: api.member,
    enteredOf: ({ role, personId, siteIds }: Member): Membership => ({ role, personId, siteIds }),
    fields: {
      role: { label: text.role, says: (role: Membership['role']) => text.roleTitle(words.roles[role]) },
      personId: { label: text.inCards, says: (personId: string | null) => (personId === null ? text.nobody : nameIn(people.data)(personId)) },
      siteIds: { label: text.boundTo, says: (siteIds: readonly string[]) => siteIds.map(nameIn(sites.data)).sort().join(', ') },
    },
  };
  const { seen, onRefused, conflict } = useChangedMeanwhile(edited, { entered: { role: entered.role, personId: entered.personId, siteIds: entered.siteIds }, onEntered: setEntered });
  const { errors, busy, submit } = useSending({
    send: (body: ReturnType<typeof bodyOf>) => api.changeMember(seen ?? member, body), fields, changes: [membersQuery(api).queryKey], onDone: onClose, onRefused,
  });
  return (
    <Dialog title={text.changeOf(member.name)} onClose={onClose} canClose={!busy}>
      <p className="soft">{text.changeLead}</p>
      <Form errors={errors} conflict={conflict} busy={busy} action={text.save} onSubmit={() => submit(bodyOf(entered), missingOf(entered, fields))}>
        <MemberFields ids={fields} member={entered} errors={errors} onMember={setEntered} />
      </Form>
      <div>
        <button type="button" className="button" onClick={onClose} disabled={busy}>
          {words.cancel}
        </button>
      </div>
    </Dialog>
  );
}
