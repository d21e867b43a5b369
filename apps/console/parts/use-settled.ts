import { useEffect, useState } from 'react';

/** The value once nobody has changed it for a while: what is typed is asked about when the typing pauses. */
export function useSettled<Value>(value: Value, afterMs = 400): Value {
  const [settled, setSettled] = useState(value);
  useEffect(() => {
    const timer = setTimeout(() => setSettled(value), afterMs);
    return () => clearTimeout(timer);
  }, [value, afterMs]);
  return settled;
}
