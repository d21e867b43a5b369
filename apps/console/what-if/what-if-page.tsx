import { useQuery } from '@tanstack/react-query';
import { useEffect, useMemo, useRef, useState } from 'react';
import { useNavigate, useSearchParams } from 'react-router';
import { dayOf } from '../format/day';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { readChoice, writeAsked, type Asked } from './asked';
import { allSitesQuery, whatIfQuery } from './queries';
import { WhatIfForm } from './what-if-form';
import { WhatIfResult } from './what-if-result';

/** `what-if?site=&from=&before=&terms=`: past periods under terms that are only proposed. */
export function WhatIfPage() {
  const { api, may } = useOperator();
  const allowed = may('what-if.preview');
  const sites = useQuery({ ...allSitesQuery(api), enabled: allowed });
  const text = words.whatIf;
  if (!allowed) return <Denied title={text.title} />;
  return (
    <Page title={text.title} lead={text.lead}>
      <Answer question={sites} lines={10}>
        {(found) => (found.length === 0 ? <Blank title={words.sites.none} /> : <Comparing sites={found} />)}
      </Answer>
    </Page>
  );
}

type Sites = Parameters<typeof WhatIfForm>[0]['sites'];

function Comparing({ sites }: { readonly sites: Sites }) {
  const { api } = useOperator();
  const navigate = useNavigate();
  const [parameters] = useSearchParams();
  const address = parameters.toString();
  const choice = useMemo(() => readChoice(new URLSearchParams(address), dayOf(new Date())), [address]);
  const { changes } = choice;
  const asked = useMemo((): Asked | null => (changes === null ? null : { ...choice, changes }), [choice, changes]);
  const question = useQuery(whatIfQuery(api, asked));
  // The form keeps what is typed while the address follows it; only a link or the way back begins it anew.
  const written = useRef(address);
  const [round, setRound] = useState(0);
  useEffect(() => {
    if (address === written.current) return;
    written.current = address;
    setRound((before) => before + 1);
  }, [address]);
  const ask = (wanted: Asked) => {
    const next = writeAsked(wanted).toString();
    if (next === address) return void question.refetch();
    written.current = next;
    void navigate({ search: `?${next}` }, { preventScrollReset: true });
  };
  return (
    <>
      <WhatIfForm key={round} sites={sites} choice={choice} refusal={question.error} busy={question.isFetching} onAsk={ask} />
      {asked === null || question.isError ? null : <WhatIfResult question={question} asked={asked} />}
    </>
  );
}
