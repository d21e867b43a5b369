import { useEffect, useRef, useState } from 'react';
import { useNavigation, useSearchParams } from 'react-router';

/** How long the address may lag behind the typing. */
const lagMs = 250;

interface AddressState<State> {
  readonly read: (parameters: URLSearchParams) => State;
  /** Equal states have equal parameters. */
  readonly write: (state: State) => URLSearchParams;
}

/**
 * What a list is narrowed to, kept in the address so that it can be sent on and survives going back. The state itself is
 * here: the router takes its time with an address, and whoever types fast would lose letters. Functions in the argument
 * stand outside the component.
 */
export function useAddressState<State>({ read, write }: AddressState<State>): [State, (state: State) => void] {
  const [parameters, setParameters] = useSearchParams();
  // Writing the address now would call back whoever is on the way to another screen.
  const isLeaving = useNavigation().state !== 'idle';
  const [state, setState] = useState(() => read(parameters));
  const address = parameters.toString();
  const written = useRef(address);
  const wanted = write(state).toString();
  useEffect(() => {
    // A link or the way back has changed the address, not the typing.
    if (address !== written.current) {
      written.current = address;
      setState(read(new URLSearchParams(address)));
    }
  }, [address, read]);
  useEffect(() => {
    if (isLeaving || wanted === written.current) return undefined;
    const timer = setTimeout(() => {
      written.current = wanted;
      setParameters(wanted, { replace: true, preventScrollReset: true });
    }, lagMs);
    return () => clearTimeout(timer);
  }, [isLeaving, wanted, setParameters]);
  return [state, setState];
}
