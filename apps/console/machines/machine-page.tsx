import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link, useParams } from 'react-router';
import type { Machine } from '../api/shapes';
import { ChangesSection } from '../audit/changes-section';
import { pathOfCollections } from '../collections/filter';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { OpenButton } from '../set-up/parts';
import { useSiteNames } from '../sites/site-names';
import { words } from '../words/words';
import { ChangeMachine } from './machine-forms';
import { GameSection, LockSection, OutageSection, PlaceSection } from './machine-sections';
import { MeterSection } from './meter-section';
import { MeterTasksSection } from './meter-tasks';
import { machineQuery } from './queries';
import { ReportsSection } from './reports-section';

const text = words.machines;

/** `machines/:id`: everything about one machine: where it stood, what runs in it, its meters, locks, outages and changes. */
export function MachinePage() {
  const { machineId = '' } = useParams();
  const { api, may } = useOperator();
  const [isChanging, setChanging] = useState(false);
  const allowed = may('machine.read');
  const question = useQuery({ ...machineQuery(api, machineId), enabled: allowed });
  if (!allowed) return <Denied title={text.title} />;
  const machine = question.data;
  return (
    <Page title={machine?.tag ?? text.title} lead={machine === undefined ? undefined : leadOf(machine)}>
      <Answer question={question} lines={10}>
        {(found) => (
          <>
            <Ways machine={found} onChange={may('machine.change') ? () => setChanging(true) : null} />
            {may('meter.read') ? <MeterTasksSection machine={found} /> : null}
            {may('placement.read') ? <PlaceSection machine={found} /> : null}
            {may('installation.read') ? <GameSection machine={found} /> : null}
            {may('meter.read') ? <MeterSection machine={found} /> : null}
            {may('machine-lock.read') ? <LockSection machine={found} /> : null}
            {may('outage.read') ? <OutageSection machine={found} /> : null}
            {may('machine-report.read') ? <ReportsSection machine={found} /> : null}
            <ChangesSection thingId={found.id} />
            {isChanging ? <ChangeMachine machine={found} onClose={() => setChanging(false)} /> : null}
          </>
        )}
      </Answer>
    </Page>
  );
}

function leadOf({ kind, serialNumber, disposedOn }: Machine): string {
  const serial = serialNumber === null ? [] : [`${text.serial} ${serialNumber}`];
  return [words.machineKind(kind), ...serial, ...(disposedOn === null ? [] : [text.disposed(formatDay(disposedOn, locale))])].join(', ');
}

/** To what else is known of it. */
function Ways({ machine, onChange }: { readonly machine: Machine; readonly onChange: (() => void) | null }) {
  const { may, to } = useOperator();
  const siteNamed = useSiteNames();
  const siteId = machine.placement?.siteId;
  return (
    <div className="row no-print">
      {onChange === null ? null : <OpenButton about={machine.tag} onClick={onChange}>{words.setUp.change}</OpenButton>}
      <Link to={to('machines')}>{text.allMachines}</Link>
      {siteId === undefined ? null : <Link to={to(`sites/${siteId}`)}>{words.site}: {siteNamed(machine.placement?.siteCode ?? '')}</Link>}
      {siteId === undefined || !may('collection.read') ? null : <Link to={to(pathOfCollections({ siteId }))}>{text.toCollections}</Link>}
      {may('variance.read') ? <Link to={to(`variances/machines/${machine.id}`)}>{text.toVariances}</Link> : null}
      {may('key-reach.read') ? <Link to={to(`keys/openers?machine=${machine.id}`)}>{text.locks.openers}</Link> : null}
    </div>
  );
}
