import { useEffect, useRef } from 'react';
import { useSearchParams } from 'react-router';

/** Undefined and empty take a parameter out. */
type Changes = Readonly<Record<string, string | undefined>>;

/** What the address asks for, and a way to change some of it. The way back leads out of the page, not through every choice. */
export function useAddressParameters(): readonly [URLSearchParams, (changes: Changes) => void] {
  const [parameters, setParameters] = useSearchParams();
  // The address follows when the page has time: whoever changes two things quickly must not lose the first.
  const latest = useRef(parameters);
  useEffect(() => {
    latest.current = parameters;
  }, [parameters]);
  const change = (changes: Changes) => {
    const after = new URLSearchParams(latest.current);
    for (const [name, value] of Object.entries(changes)) {
      if (value === undefined || value === '') after.delete(name);
      else after.set(name, value);
    }
    latest.current = after;
    setParameters(after, { replace: true, preventScrollReset: true });
  };
  return [parameters, change];
}
