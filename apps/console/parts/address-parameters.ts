import { useSearchParams } from 'react-router';

/** Undefined and empty take a parameter out. */
type Changes = Readonly<Record<string, string | undefined>>;

/** What the address asks for, and a way to change some of it. The way back leads out of the page, not through every choice. */
export function useAddressParameters(): readonly [URLSearchParams, (changes: Changes) => void] {
  const [parameters, setParameters] = useSearchParams();
  const change = (changes: Changes) =>
    setParameters(
      (before) => {
        const after = new URLSearchParams(before);
        for (const [name, value] of Object.entries(changes)) {
          if (value === undefined || value === '') after.delete(name);
          else after.set(name, value);
        }
        return after;
      },
      { replace: true },
    );
  return [parameters, change];
}
