import { useQuery } from '@tanstack/react-query';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { DismissedFaults, Faults } from './faults';
import { Outages } from './outages';
import { machineFaultsQuery } from './queries';
import { Tokens } from './tokens';

const text = words.machineReports;

/** `machines/reports`: faults that machines report, outages, the tokens with which they do, and which of them fell silent. */
export function MachineReportsPage() {
  const { api, may } = useOperator();
  const faults = useQuery({ ...machineFaultsQuery(api), enabled: may('outage.read') });
  if (!may('outage.read')) return <Denied title={text.title} />;
  return (
    <Page title={text.title} lead={text.lead}>
      <Answer question={faults} lines={4}>
        {(found) => <Faults faults={found.items} more={found.more} />}
      </Answer>
      <Outages />
      {faults.data === undefined ? null : <DismissedFaults dismissed={faults.data.dismissed} />}
      {may('machine-token.read') ? <Tokens /> : null}
    </Page>
  );
}
