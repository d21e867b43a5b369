import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { useParams } from 'react-router';
import type { KeyInventory } from '../../api/shapes';
import { formatInstant } from '../../format/day';
import { locale } from '../../format/locale';
import { Answer } from '../../parts/answer';
import { ConfirmWithReason } from '../../parts/confirm-with-reason';
import { Denied } from '../../parts/denied';
import { Page } from '../../parts/page';
import { useMutation } from '../../parts/use-mutation';
import { useActorName } from '../../session/actor-name';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { KeyViews } from '../parts';
import { SeenElsewhere, Surplus } from './beside';
import { Counting } from './counting';
import { Discrepancies, Equation } from './equation';
import { inventoryQuery } from './queries';

const text = words.keyInventories;

/** `keys/inventories/:id`: a count of keys from the first that is seen to its result. */
export function KeyInventoryPage() {
  const { inventoryId = '' } = useParams();
  const { api, may } = useOperator();
  const allowed = may('key-inventory.read');
  const question = useQuery({ ...inventoryQuery(api, inventoryId), enabled: allowed });
  if (!allowed) return <Denied title={text.titlePlain} />;
  const found = question.data;
  return (
    <Page
      title={found === undefined ? text.titlePlain : text.title(found.store?.name ?? text.everyKey)}
      lead={found === undefined ? undefined : text.progress(found.counted, found.copies)}
      actions={<KeyViews />}
    >
      <Answer question={question} lines={10}>
        {(inventory) => (
          <>
            <Standing inventory={inventory} />
            <Counting inventory={inventory} />
            {inventory.closed === null ? <Beside inventory={inventory} /> : null}
            <Equation inventory={inventory} />
            <Discrepancies inventory={inventory} />
            {inventory.closed === null ? <Close inventory={inventory} /> : null}
          </>
        )}
      </Answer>
    </Page>
  );
}

function Standing({ inventory: { copies, counted, closed } }: { readonly inventory: KeyInventory }) {
  const nameOf = useActorName();
  if (closed !== null) return <p className="notice">{text.closed({ when: formatInstant(closed.at, locale), who: nameOf(closed.by), reason: closed.reason })}</p>;
  return copies === 0 ? null : <progress aria-label={text.counted} max={copies} value={counted} />;
}

function Beside({ inventory }: { readonly inventory: KeyInventory }) {
  const { may } = useOperator();
  const [open, setOpen] = useState<'elsewhere' | 'surplus' | null>(null);
  if (!may('key-inventory.count')) return null;
  return (
    <div className="row">
      <button type="button" className="button" onClick={() => setOpen('elsewhere')}>
        {text.elsewhere}
      </button>
      <button type="button" className="button" onClick={() => setOpen('surplus')}>
        {text.surplus}
      </button>
      {open === 'elsewhere' ? <SeenElsewhere inventory={inventory} onClose={() => setOpen(null)} /> : null}
      {open === 'surplus' ? <Surplus inventory={inventory} onClose={() => setOpen(null)} /> : null}
    </div>
  );
}

function Close({ inventory }: { readonly inventory: KeyInventory }) {
  const { api, may } = useOperator();
  const client = useQueryClient();
  const [isAsked, setAsked] = useState(false);
  const closing = useMutation({
    mutationFn: api.closeKeyInventory,
    onSuccess: async () => {
      await client.invalidateQueries({ queryKey: ['keys'] });
      setAsked(false);
    },
  });
  if (!may('key-inventory.close')) return null;
  return (
    <div>
      <button type="button" className="button button-main" onClick={() => setAsked(true)}>
        {text.close}
      </button>
      {isAsked ? (
        <ConfirmWithReason
          title={text.closeTitle} what={text.closeWhat(inventory.copies - inventory.counted)} action={text.close} busy={closing.isPending} error={closing.error}
          onConfirm={(reason) => closing.mutate({ id: inventory.id, reason })}
          onClose={() => {
            closing.reset();
            setAsked(false);
          }}
        />
      ) : null}
    </div>
  );
}
