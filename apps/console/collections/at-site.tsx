import { useQuery } from '@tanstack/react-query';
import { useId } from 'react';
import { useSearchParams } from 'react-router';
import { everySiteQuery } from '../keys/queries';
import { SelectField } from '../parts/select-field';
import { useOperator } from '../session/operator';
import { words } from '../words/words';

const text = words.besideCounts;

/** The site that a list is narrowed to, kept in the address; null for all of them. */
export function useSiteChoice() {
  const [parameters, setParameters] = useSearchParams();
  const siteId = /^[0-9a-f-]{36}$/.exec(parameters.get('site') ?? '')?.[0] ?? null;
  return { siteId, choose: (id: string) => setParameters(id === '' ? {} : { site: id }) };
}

export function SiteChoice({ siteId, onChoose }: { readonly siteId: string | null; readonly onChoose: (id: string) => void }) {
  const { api } = useOperator();
  const id = useId();
  const sites = useQuery(everySiteQuery(api));
  return (
    <div className="form">
      <SelectField id={id} label={words.site} none={text.everySite} isLoading={sites.isLoading} value={siteId ?? ''} options={(sites.data ?? []).map((site) => ({ value: site.id, text: `${site.name} (${site.code})` }))} onValue={onChoose} />
    </div>
  );
}
