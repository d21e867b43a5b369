import { useQuery } from '@tanstack/react-query';
import { isCurrencyCode, type CurrencyCode } from '#domain/money/currency';
import { everySiteQuery, machinesQuery } from '../keys/queries';
import { SelectField } from '../parts/select-field';
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
  return { machineOf, currencyOf, isLoading: machines.isLoading, machines: machines.data ?? [] };
}

interface MachineFieldProps {
  readonly id: string;
  readonly value: string;
  readonly error: string | undefined;
  readonly choice: ReturnType<typeof useMachineChoice>;
  readonly onValue: (id: string) => void;
}

export function MachineField({ choice: { machines, isLoading }, ...bound }: MachineFieldProps) {
  return (
    <SelectField
      {...bound} label={words.machine} none={words.setUp.choose} isLoading={isLoading}
      options={machines.map(({ id: value, tag, kind, placement }) => ({ value, text: words.besideCounts.machineAt(tag, words.machineKind(kind), placement?.siteCode ?? null) }))}
    />
  );
}
