import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link, useNavigate } from 'react-router';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Found } from '../parts/found';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { OpenButton, SetUpViews } from '../set-up/parts';
import { everyPartyQuery, operatorQuery } from '../set-up/queries';
import { words } from '../words/words';
import { NewParty } from './party-forms';

const text = words.setUp.parties;

/** `parties`: who has shares. */
export function PartiesPage() {
  const { api, may, to } = useOperator();
  const navigate = useNavigate();
  const [isAdding, setAdding] = useState(false);
  const allowed = may('party.read');
  const question = useQuery({ ...everyPartyQuery(api), enabled: allowed });
  const office = useQuery({ ...operatorQuery(api), enabled: allowed });
  if (!allowed) return <Denied title={text.title} />;
  const add = may('party.create') ? <OpenButton main onClick={() => setAdding(true)}>{text.add}</OpenButton> : null;
  return (
    <Page title={text.title} lead={text.lead} actions={<SetUpViews />}>
      <Answer question={question} lines={8}>
        {(parties) =>
          parties.length === 0 ? (
            <Blank title={text.none}>
              <p>{text.noneWhat}</p>
              {add}
            </Blank>
          ) : (
            <>
              <div>{add}</div>
              <Found all={parties} title={text.title} shown={text.shown} columns={[text.party, text.address]} textsOf={({ code, name, address }) => [code, name, ...address]}>
                {(party) => (
                  <tr key={party.id}>
                    <th scope="row">
                      <Link to={to(`parties/${party.id}`)}>{party.name}</Link> <span className="code small">{party.code}</span>
                    </th>
                    <td>{party.address.join(', ')}</td>
                  </tr>
                )}
              </Found>
            </>
          )
        }
      </Answer>
      {isAdding ? <NewParty locale={office.data?.locale ?? ''} needs={[office]} onAdded={(party) => void navigate(to(`parties/${party.id}`))} onClose={() => setAdding(false)} /> : null}
    </Page>
  );
}
