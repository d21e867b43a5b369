import { useContext, useEffect, useRef, useState } from 'react';
import { useLocation, useSearchParams } from 'react-router';
import { Whereabouts } from './whereabouts';

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
  const drawn = useLocation().key;
  const whereabouts = useContext(Whereabouts);
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
    if (wanted === written.current) return undefined;
    const timer = setInterval(() => {
      // Writing the address now would call back whoever is on the way to another screen. If the way leads nowhere, it is written later.
      const { location, navigation } = whereabouts();
      if (navigation.state !== 'idle' || location.key !== drawn) return;
      clearInterval(timer);
      written.current = wanted;
      setParameters(wanted, { replace: true, preventScrollReset: true });
    }, lagMs);
    return () => clearInterval(timer);
  }, [drawn, wanted, setParameters, whereabouts]);
  return [state, setState];
}
