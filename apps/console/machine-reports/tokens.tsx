import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { MachineToken, MadeMachineToken } from '../api/shapes';
import { dayOf, formatDay, formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { machinesQuery } from '../keys/queries';
import { MachineField } from '../machines/choice';
import { Answer } from '../parts/answer';
import { Confirm } from '../parts/confirm';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { ShownOnce } from '../parts/shown-once';
import { TitledTable } from '../parts/titled-table';
import { useMutation } from '../parts/use-mutation';
import { unless, useSending } from '../parts/use-sending';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { machineTokensQuery } from './queries';

const text = words.machineReports;

const SILENT_MS = 2 * 24 * 60 * 60 * 1000;

const isSilent = ({ revokedAt, lastReportAt, madeAt }: MachineToken): boolean => revokedAt === null && Date.now() - Date.parse(lastReportAt ?? madeAt) > SILENT_MS;
const dayHere = (instant: string): string => formatDay(dayOf(new Date(instant)), locale);

/** The tokens of machines, the silent ones first: a box about which nothing is heard is planned by guessing. */
export function Tokens() {
  const { api, may } = useOperator();
  const question = useQuery(machineTokensQuery(api));
  const [making, setMaking] = useState(false);
  const [made, setMade] = useState<MadeMachineToken | null>(null);
  const [ending, setEnding] = useState<MachineToken | null>(null);
  const taken = (token: MadeMachineToken) => {
    setMaking(false);
    setMade(token);
  };
  return (
    <>
      <Answer question={question} lines={5}>
        {(tokens) => <TokenTable tokens={tokens} onRevoke={may('machine-token.revoke') ? setEnding : null} />}
      </Answer>
      {may('machine-token.make') ? (
        <div>
          <button type="button" className="button button-main" onClick={() => setMaking(true)}>
            {text.make}
          </button>
        </div>
      ) : null}
      {making ? <MakeToken onMade={taken} onClose={() => setMaking(false)} /> : null}
      {made === null ? null : (
        <ShownOnce title={text.handOver} lead={made.secret === null ? text.notShownAgain : text.handOverLead} label={text.token} value={made.secret} onClose={() => setMade(null)} />
      )}
      {ending === null ? null : <Revoke token={ending} onClose={() => setEnding(null)} />}
    </>
  );
}

function TokenTable({ tokens, onRevoke }: { readonly tokens: readonly MachineToken[]; readonly onRevoke: ((token: MachineToken) => void) | null }) {
  const nameOf = useActorName();
  const silent = tokens.filter(isSilent).length;
  const rows = [...tokens].sort((one, other) => Number(isSilent(other)) - Number(isSilent(one))).map((token) => (
    <tr key={token.id}>
      <th scope="row">{token.machineTag}</th>
      <td>
        {token.lastReportAt === null ? text.never : formatInstant(token.lastReportAt, locale)}
        {isSilent(token) ? <span className="state state-alarm">{text.silent}</span> : null}
      </td>
      <td>{text.madeBy(dayHere(token.madeAt), nameOf(token.madeBy))}</td>
      <td>
        {token.revokedAt !== null ? <span className="soft">{text.revoked(dayHere(token.revokedAt))}</span> : null}
        {token.revokedAt === null && onRevoke !== null ? (
          <button type="button" className="button button-small" onClick={() => onRevoke(token)}>
            {text.revoke}
            <span className="visually-hidden">{` ${token.machineTag}`}</span>
          </button>
        ) : null}
      </td>
    </tr>
  ));
  return (
    <>
      {silent === 0 ? null : <p className="notice">{text.silentMachines(silent)}</p>}
      <TitledTable id="machine-tokens" title={text.tokens} none={text.noTokens} rows={rows} columns={[words.machine, text.last, text.made, words.commands]} />
    </>
  );
}

function MakeToken({ onMade, onClose }: { readonly onMade: (token: MadeMachineToken) => void; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const machines = useQuery(machinesQuery(api));
  const [machineId, setMachineId] = useState('');
  const field = `${id}-machine`;
  const { errors, busy, submit } = useSending({ send: api.makeMachineToken, fields: { machineId: field }, changes: [machineTokensQuery(api).queryKey], onDone: onMade });
  return (
    <FormDialog title={text.makeTitle} lead={text.makeLead} errors={errors} busy={busy} action={text.make} onClose={onClose} onSubmit={() => submit(machineId, [unless(machineId !== '', field, text.machineMissing)])}>
      <MachineField id={field} value={machineId} error={errorAt(errors, field)} choice={{ machines: machines.data ?? [], isLoading: machines.isLoading }} onValue={setMachineId} />
    </FormDialog>
  );
}

function Revoke({ token, onClose }: { readonly token: MachineToken; readonly onClose: () => void }) {
  const { api } = useOperator();
  const client = useQueryClient();
  const revoking = useMutation({
    mutationFn: (_asked: void, key) => api.revokeMachineToken(token.id, key),
    onSuccess: async () => {
      await client.invalidateQueries({ queryKey: machineTokensQuery(api).queryKey });
      onClose();
    },
  });
  return (
    <Confirm title={text.revokeTitle(token.machineTag)} action={text.revoke} busy={revoking.isPending} error={revoking.error} onConfirm={() => revoking.mutate()} onClose={onClose}>
      <p>{text.revokeWhat}</p>
    </Confirm>
  );
}
