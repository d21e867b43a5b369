import { useMutation, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { TroubleNotice } from '../parts/trouble';
import { saveFile } from '../parts/save-file';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import type { PeriodKey } from './period';
import { agreementsQuery } from './queries';

interface DownloadAllProps {
  readonly period: PeriodKey;
  readonly name: string;
}

/** All issued statements of the period in one ZIP file, one request after the other. */
export function DownloadAll({ period, name }: DownloadAllProps) {
  const { api } = useOperator();
  const client = useQueryClient();
  const [done, setDone] = useState(0);
  const downloading = useMutation({
    mutationFn: async () => {
      setDone(0);
      const { pages } = await client.fetchInfiniteQuery({ ...agreementsQuery(api, period), pages: Number.MAX_SAFE_INTEGER });
      const ids = pages.flatMap((page) => page.items).flatMap(({ state, settlementId }) => (state === 'issued' && settlementId !== null ? [settlementId] : []));
      const { downloadZip } = await import('client-zip');
      async function* statements() {
        for (const id of ids) {
          const { blob, fileName } = await api.statement(id);
          setDone((before) => before + 1);
          yield { name: fileName, input: blob };
        }
      }
      saveFile(await downloadZip(statements()).blob(), `${words.statement.zipName(period.startsOn)}.zip`);
    },
  });
  return (
    <>
      <button type="button" className="button" aria-disabled={downloading.isPending} onClick={() => downloading.mutate()}>
        {downloading.isPending ? words.statement.fetching(done) : words.statement.all}
        <span className="visually-hidden">{` ${name}`}</span>
      </button>
      {downloading.isError ? <TroubleNotice error={downloading.error} /> : null}
    </>
  );
}
