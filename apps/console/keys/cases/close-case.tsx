import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import type { KeyCase } from '../../api/shapes';
import { ConfirmWithReason } from '../../parts/confirm-with-reason';
import { useMutation } from '../../parts/use-mutation';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';

interface EndingProps {
  readonly lost: KeyCase;
  readonly text: { readonly action: string; readonly title: string; readonly what: string };
  readonly end: (how: { id: string; reason: string }, key: string) => Promise<KeyCase>;
  readonly main?: boolean;
}

function Ending({ lost, text, end, main = false }: EndingProps) {
  const client = useQueryClient();
  const [isAsked, setAsked] = useState(false);
  const ending = useMutation({
    mutationFn: end,
    onSuccess: async () => {
      await client.invalidateQueries({ queryKey: ['keys'] });
      setAsked(false);
    },
  });
  return (
    <>
      <button type="button" className={main ? 'button button-main' : 'button'} onClick={() => setAsked(true)}>
        {text.action}
      </button>
      {isAsked ? (
        <ConfirmWithReason
          title={text.title} what={text.what} action={text.action} busy={ending.isPending} error={ending.error}
          onConfirm={(reason) => ending.mutate({ id: lost.id, reason })}
          onClose={() => {
            ending.reset();
            setAsked(false);
          }}
        />
      ) : null}
    </>
  );
}

/** Once no lock takes the old key. */
export function CloseCase({ lost }: { readonly lost: KeyCase }) {
  const { api, may } = useOperator();
  if (lost.state !== 'locks-changed' || !may('key-case.close')) return null;
  return <Ending lost={lost} text={words.keyCases.close} end={api.closeKeyCase} main />;
}

/** Where every lost key was found before the locks were changed: the owner's decision. */
export function EndCase({ lost }: { readonly lost: KeyCase }) {
  const { api, may } = useOperator();
  const isFound = lost.cause === 'lost' && lost.lostCopies.every(({ found }) => found);
  if (lost.state !== 'open' || !isFound || !may('key-case.end')) return null;
  return <Ending lost={lost} text={words.keyCases.end} end={api.endKeyCase} />;
}
