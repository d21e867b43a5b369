import { useState } from 'react';
import type { BagToCount, ToCount } from '../api/collections-api';
import { Field } from '../parts/field';
import { errorAt, Form } from '../parts/form';
import framed from '../parts/framed.module.css';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { AddBag } from './add-bag';
import { toCountKey } from './queries';

const text = words.countingRoom;

/** Each bag as it comes onto the table: its seal is read off it first, and then compared. */
export function BagSteps({ toCount }: { readonly toCount: ToCount }) {
  return (
    <section className="section" aria-labelledby="bags">
      <h2 id="bags">{text.bags}</h2>
      <p className="soft">{text.bagsLead}</p>
      <ul className={framed.list}>
        {toCount.bags.map((bag) => (
          <li key={bag.id} className={framed.box}>
            <OneBag bag={bag} />
          </li>
        ))}
      </ul>
      <AddBag toCount={toCount} />
    </section>
  );
}

function OneBag({ bag }: { readonly bag: BagToCount }) {
  const { number, machineTag, received, opened, seal } = bag;
  const found = opened ?? received;
  return (
    <>
      <h3>{text.bag(number, machineTag)}</h3>
      {found === null ? null : found.seal === seal ? (
        <p>{opened === null ? text.receivedFine : text.openedFine}</p>
      ) : (
        <p className="notice notice-alarm">{`${text.otherSeal({ put: seal, found: found.seal })} ${opened === null ? text.otherSealNext : text.otherSealOpened}`}</p>
      )}
      {received === null ? <NextStep key="received" bag={bag} kind="received" /> : opened === null ? <NextStep key="opened" bag={bag} kind="opened" /> : null}
    </>
  );
}

function NextStep({ bag, kind }: { readonly bag: BagToCount; readonly kind: 'received' | 'opened' }) {
  const { api } = useOperator();
  // Empty at the opening, too: what was on the bag when it came says nothing of what is on it now.
  const [seal, setSeal] = useState('');
  const fields = { seal: `${bag.id}-seal` };
  const { errors, busy, submit } = useSending({ send: api.recordBagStep, fields, changes: [[...toCountKey, bag.collectionId], ['cash']], onDone: () => undefined });
  return (
    <Form errors={errors} busy={busy} action={text.step[kind](bag.number)} onSubmit={() => submit({ id: bag.id, kind, seal: seal.trim() }, [unless(seal.trim() !== '', fields.seal, words.cash.bags.sealMissing)])}>
      <Field id={fields.seal} label={text.sealOn(bag.number)} autoComplete="off" maxLength={60} error={errorAt(errors, fields.seal)} value={seal} onValue={setSeal} />
    </Form>
  );
}
