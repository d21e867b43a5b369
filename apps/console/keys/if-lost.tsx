import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { Clocks } from '../api/keys-api';
import { Answer } from '../parts/answer';
import { Download } from '../parts/download';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { ClockFields } from './clocks';
import { reachQuery } from './queries';
import { Reach } from './reach';

/** What would follow if a copy were lost now, or had been at a moment; nothing is asked before somebody wants to know. */
export function IfLost({ copyId }: { readonly copyId: string }) {
  const { api } = useOperator();
  const [isAsked, setAsked] = useState(false);
  const [clocks, setClocks] = useState<Clocks>({});
  const question = useQuery({ ...reachQuery(api, copyId, clocks), enabled: isAsked });
  const text = words.keys.copy;
  return (
    <section className="section" aria-labelledby="if-lost">
      <h2 id="if-lost">{text.ifLost}</h2>
      <p className="soft">{text.ifLostLead}</p>
      {isAsked ? (
        <>
          <ClockFields clocks={clocks} onChange={(name, instant) => setClocks(({ [name]: _before, ...others }) => (instant === undefined ? others : { ...others, [name]: instant }))} />
          <Answer question={question} lines={6}>
            {({ reach }) => (
              <>
                <Reach reach={reach} />
                <Download file={() => api.reachOfCopyFile(copyId, clocks)} />
              </>
            )}
          </Answer>
        </>
      ) : (
        <div>
          <button type="button" className="button" onClick={() => setAsked(true)}>
            {text.ask}
          </button>
        </div>
      )}
    </section>
  );
}
