import { useInfiniteQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import type { Outage } from '../api/shapes';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Moment } from '../keys/parts';
import { Answer } from '../parts/answer';
import { Confirm } from '../parts/confirm';
import { ConfirmWithReason } from '../parts/confirm-with-reason';
import { More } from '../parts/more';
import { TitledTable } from '../parts/titled-table';
import { useMutation } from '../parts/use-mutation';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { machineFaultsQuery, outagesQuery } from './queries';
import { EndOutage, ReportOutage } from './report-outage';

const text = words.machineReports;
const say = text.outages;
type Asked = { readonly what: 'end' | 'confirm' | 'take-back'; readonly outage: Outage };

/** Times at which machines did not work, the latest first: reported, ended, confirmed and taken back here. */
export function Outages() {
  const { api, may } = useOperator();
  const question = useInfiniteQuery(outagesQuery(api));
  const [isReporting, setReporting] = useState(false);
  const [asked, setAsked] = useState<Asked | null>(null);
  const close = () => setAsked(null);
  const found = question.data?.pages.flatMap((page) => page.items);
  const report = may('outage.report') ? (
    <div>
      <button type="button" className="button button-main" onClick={() => setReporting(true)}>
        {say.report}
      </button>
    </div>
  ) : null;
  return (
    <>
      <Answer question={{ ...question, data: found }} lines={5}>
        {(outages) => (
          <>
            {outages.some(({ toConfirm }) => toConfirm) ? <p className="notice">{say.toConfirmWhat}</p> : null}
            <TitledTable
              id="outages" title={say.title} none={say.none} columns={[words.machine, text.since, text.until, text.cause, words.commands]}
              rows={outages.map((outage) => (
                <OutageRow key={outage.id} outage={outage} onAsk={(what) => setAsked({ what, outage })} />
              ))}
            />
            <More question={question} />
          </>
        )}
      </Answer>
      {report}
      {isReporting ? <ReportOutage onClose={() => setReporting(false)} /> : null}
      {asked?.what === 'end' ? <EndOutage outage={asked.outage} onClose={close} /> : null}
      {asked?.what === 'confirm' ? <ConfirmOutage outage={asked.outage} onClose={close} /> : null}
      {asked?.what === 'take-back' ? <TakeBack outage={asked.outage} onClose={close} /> : null}
    </>
  );
}

function OutageRow({ outage, onAsk }: { readonly outage: Outage; readonly onAsk: (what: Asked['what']) => void }) {
  const { may } = useOperator();
  const nameOf = useActorName();
  const { machineTag, startedAt, endedAt, endedBy, cause, remedy, confirmed, toConfirm, takenBack, recordedBy } = outage;
  const stands = takenBack === null;
  const commands = [
    { what: 'confirm', shown: stands && toConfirm && may('outage.confirm') },
    { what: 'end', shown: stands && endedAt === null && may('outage.report') },
    { what: 'take-back', shown: stands && may('outage.take-back') },
  ] as const;
  return (
    <tr>
      <th scope="row">{machineTag}</th>
      <td>
        <Moment instant={startedAt} />
      </td>
      <td>{endedAt === null ? text.goesOn : <Moment instant={endedAt} />}</td>
      <td>
        {remedy === null ? cause : say.mended(cause, remedy)}
        <div className="soft small">{say.reportedBy(nameOf(recordedBy))}</div>
        {endedBy === null || endedBy === recordedBy ? null : <div className="soft small">{say.endedBy(nameOf(endedBy))}</div>}
        {confirmed === null ? null : <div className="soft small">{confirmed.withoutSecondPerson ? say.confirmedAlone : say.confirmedBy(nameOf(confirmed.confirmedBy))}</div>}
        {takenBack === null ? null : <div className="soft small">{say.takenBack(nameOf(takenBack.takenBackBy), takenBack.reason)}</div>}
        {toConfirm ? <span className="state state-alarm">{say.toConfirm}</span> : null}
      </td>
      <td>
        <div className="row">
          {commands.filter(({ shown }) => shown).map(({ what }) => (
            <button key={what} type="button" className="button button-small" onClick={() => onAsk(what)}>
              {say.commands[what]}
              <span className="visually-hidden">{` ${machineTag}`}</span>
            </button>
          ))}
        </div>
      </td>
    </tr>
  );
}

interface DialogProps {
  readonly outage: Outage;
  readonly onClose: () => void;
}

const spanOf = ({ startedAt, endedAt }: Outage): string => text.recordLead(formatInstant(startedAt, locale), endedAt === null ? null : formatInstant(endedAt, locale));

/** Whatever an outage explains is compared again: variances, and the days in "per day". */
function useChange<Body>(send: (body: Body, key: string) => Promise<unknown>, onClose: () => void) {
  const { api } = useOperator();
  const client = useQueryClient();
  return useMutation({
    mutationFn: send,
    onSuccess: async () => {
      await Promise.all([outagesQuery(api).queryKey, machineFaultsQuery(api).queryKey, ['machines'], ['variances']].map((queryKey) => client.invalidateQueries({ queryKey })));
      onClose();
    },
  });
}

function ConfirmOutage({ outage, onClose }: DialogProps) {
  const { api } = useOperator();
  const confirming = useChange(api.confirmOutage, onClose);
  return (
    <Confirm title={say.confirmTitle(outage.machineTag)} action={say.commands.confirm} busy={confirming.isPending} error={confirming.error} onConfirm={() => confirming.mutate(outage.id)} onClose={onClose}>
      <p>{spanOf(outage)}</p>
      <p>{say.confirmWhat}</p>
    </Confirm>
  );
}

function TakeBack({ outage, onClose }: DialogProps) {
  const { api } = useOperator();
  const takingBack = useChange(api.takeBackOutage, onClose);
  return (
    <ConfirmWithReason
      title={say.takeBackTitle(outage.machineTag)} what={`${spanOf(outage)} ${say.takeBackWhat}`} action={say.commands['take-back']} busy={takingBack.isPending} error={takingBack.error}
      onConfirm={(reason) => takingBack.mutate({ id: outage.id, reason: reason.trim() })} onClose={onClose}
    />
  );
}
