import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import type { CreatedLink, Member } from '../api/shapes';
import { Confirm } from '../parts/confirm';
import { useMutation } from '../parts/use-mutation';
import { membersQuery } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { ChangeMember } from './change-member';
import { openLinksQuery } from './queries';
import styles from './access.module.css';

interface MemberCommandsProps {
  readonly member: Member;
  readonly onLink: (link: CreatedLink) => void;
}

type Asked = 'change' | 'newPassword' | 'remove';

/** What an owner can do about somebody else. Their own role they leave to another owner: nobody locks themselves out by a slip. */
export function MemberCommands({ member, onLink }: MemberCommandsProps) {
  const [asked, setAsked] = useState<Asked | null>(null);
  const text = words.people;
  const close = () => setAsked(null);
  return (
    <div className={styles.commands}>
      {(['change', 'newPassword', 'remove'] as const).map((each) => (
        <button key={each} type="button" className="button button-small" onClick={() => setAsked(each)}>
          {text[each]}
          <span className="visually-hidden">{text.about(member.name)}</span>
        </button>
      ))}
      {asked === 'change' ? <ChangeMember member={member} onClose={close} /> : null}
      {asked === 'remove' ? <Remove member={member} onClose={close} /> : null}
      {asked === 'newPassword' ? (
        <NewPassword
          member={member}
          onMade={(link) => {
            close();
            onLink(link);
          }}
          onClose={close}
        />
      ) : null}
    </div>
  );
}

function Remove({ member, onClose }: { readonly member: Member; readonly onClose: () => void }) {
  const { api } = useOperator();
  const client = useQueryClient();
  const text = words.people;
  const removing = useMutation({
    mutationFn: () => api.removeMember(member),
    onSuccess: onClose,
    onSettled: async () => {
      await client.invalidateQueries({ queryKey: membersQuery(api).queryKey });
      await client.invalidateQueries({ queryKey: openLinksQuery(api).queryKey });
    },
  });
  return (
    <Confirm title={text.removeTitle(member.name)} action={text.remove} busy={removing.isPending} error={removing.error} onConfirm={() => removing.mutate()} onClose={onClose}>
      <p>{text.removeWhat}</p>
    </Confirm>
  );
}

interface NewPasswordProps {
  readonly member: Member;
  readonly onMade: (link: CreatedLink) => void;
  readonly onClose: () => void;
}

function NewPassword({ member, onMade, onClose }: NewPasswordProps) {
  const { api } = useOperator();
  const client = useQueryClient();
  const text = words.people;
  const making = useMutation({
    mutationFn: (_asked: void, key) => api.linkForPassword(member.id, key),
    onSuccess: async (link) => {
      await client.invalidateQueries({ queryKey: openLinksQuery(api).queryKey });
      onMade(link);
    },
  });
  return (
    <Confirm title={text.newPasswordTitle(member.name)} action={text.makeLink} busy={making.isPending} error={making.error} onConfirm={() => making.mutate()} onClose={onClose}>
      <p>{text.newPasswordWhat}</p>
    </Confirm>
  );
}
