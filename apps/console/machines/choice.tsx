import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { isCurrencyCode, type CurrencyCode } from '#domain/money/currency';
import type { Machine } from '../api/shapes';
import { everySiteQuery, machinesQuery } from '../keys/queries';
import { Field } from '../parts/field';
import { useOperator } from '../session/operator';
import { operatorQuery } from '../set-up/queries';
import { words } from '../words/words';

/** All machines, to choose one, and what the forms that do so have to know of it. */
export function useMachineChoice() {
  const { api } = useOperator();
  const machines = useQuery(machinesQuery(api));
  const sites = useQuery(everySiteQuery(api));
  const office = useQuery(operatorQuery(api));
  const machineOf = (id: string) => machines.data?.find((machine) => machine.id === id);
  /** That of the site where it stands; in the shop that of the books. */
  const currencyOf = (id: string): CurrencyCode | null => {
    const siteId = machineOf(id)?.placement?.siteId;
    const currency = siteId === undefined ? office.data?.currency : sites.data?.find((site) => site.id === siteId)?.currency;
    return currency !== undefined && isCurrencyCode(currency) ? currency : null;
  };
  return { machineOf, currencyOf, isLoading: machines.isLoading || sites.isLoading || office.isLoading, machines: machines.data ?? [] };
}

interface MachineFieldProps {
  readonly id: string;
  readonly label?: string;
  readonly value: string;
  readonly error?: string | undefined;
  readonly choice: { readonly machines: readonly Machine[]; readonly isLoading: boolean };
  /** The id of the machine; empty for as long as what is typed names none. */
  readonly onValue: (id: string) => void;
}

const nameOf = ({ tag, kind, placement }: Machine): string => words.besideCounts.machineAt(tag, words.machineKind(kind), placement?.siteCode ?? null);

/** One of perhaps thousands of machines, found by typing a part of what it is called; its tag alone names it. */
export function MachineField({ id, label = words.machine, value, error, choice: { machines, isLoading }, onValue }: MachineFieldProps) {
  const [typed, setTyped] = useState('');
  const named = (text: string): string => {
    const asked = text.trim().toLowerCase();
    return machines.find((machine) => machine.tag.toLowerCase() === asked || nameOf(machine).toLowerCase() === asked)?.id ?? '';
  };
  const chosen = machines.find((machine) => machine.id === value);
  // What was typed stands for as long as it names what is chosen, which may also come from elsewhere: the address, the entry before.
  const shown = named(typed) === value ? typed : chosen === undefined ? '' : nameOf(chosen);
  const change = (text: string) => {
    setTyped(text);
    if (named(text) !== value) onValue(named(text));
  };
  const list = `${id}-list`;
  return (
    <>
      {/* Read-only until there is something to choose from: a disabled field would lose the focus. */}
      <Field
        id={id} type="search" label={label} hint={words.besideCounts.machineHint} error={error} list={list} autoComplete="off" spellCheck={false} readOnly={isLoading} aria-busy={isLoading}
        placeholder={isLoading ? words.loading : undefined} value={shown} onValue={change} onFocus={(event) => event.currentTarget.select()}
      />
      <datalist id={list}>
        {machines.map((machine) => (
          <option key={machine.id} value={nameOf(machine)} />
        ))}
      </datalist>
    </>
  );
}
