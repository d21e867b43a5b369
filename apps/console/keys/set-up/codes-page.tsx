import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-router';
import type { KeyCode } from '../../api/shapes';
import { Answer, Blank } from '../../parts/answer';
import { Denied } from '../../parts/denied';
import { Page } from '../../parts/page';
import { Wide } from '../../parts/wide';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { keyCodesQuery } from '../queries';
import { NewCode } from './code-forms';
import { OpenButton, SetUpViews } from './parts';

const text = words.keySetUp.codes;

/** `keys/codes`: the cuts, with what there is of each. */
export function KeyCodesPage() {
  const { api, may } = useOperator();
  const [isAdding, setAdding] = useState(false);
  const allowed = may('key-code.read');
  const question = useQuery({ ...keyCodesQuery(api), enabled: allowed });
  if (!allowed) return <Denied title={text.title} />;
  const add = may('key-code.create') ? <OpenButton main onClick={() => setAdding(true)}>{text.add}</OpenButton> : null;
  return (
    <Page title={text.title} lead={text.lead} actions={<SetUpViews />}>
      <Answer question={question} lines={6}>
        {(codes) =>
          codes.length === 0 ? (
            <Blank title={text.none}>
              <p>{text.noneWhat}</p>
              {add}
            </Blank>
          ) : (
            <>
              <div>{add}</div>
              <Codes codes={codes} />
            </>
          )
        }
      </Answer>
      {isAdding ? <NewCode onClose={() => setAdding(false)} /> : null}
    </Page>
  );
}

function Codes({ codes }: { readonly codes: readonly KeyCode[] }) {
  const { to } = useOperator();
  const isUsed = (code: KeyCode): boolean => code.locks > 0 || code.copies > 0;
  // What is not in use any more, or not yet, comes last.
  const sorted = [...codes.filter(isUsed), ...codes.filter((code) => !isUsed(code))];
  return (
    <Wide title={text.title}>
      <table>
        <caption className="visually-hidden">{text.title}</caption>
        <thead>
          <tr>
            <th scope="col">{text.code}</th>
            <th scope="col">{text.kind}</th>
            <th scope="col" className="figure">{text.copies}</th>
            <th scope="col" className="figure">{text.locks}</th>
            <th scope="col">{text.outside}</th>
          </tr>
        </thead>
        <tbody>
          {sorted.map((code) => (
            <tr key={code.id}>
              <th scope="row" className="whole">
                <Link to={to(`keys/codes/${code.id}`)}>{code.code}</Link>
                {isUsed(code) ? null : <span className="soft small">{words.keySetUp.about(text.unused)}</span>}
              </th>
              <td>{text.kinds[code.class]}</td>
              <td className="figure">{code.copies}</td>
              <td className="figure">{code.locks}</td>
              <td>{code.outsideCopies ? <span className="state state-alarm">{text.yes}</span> : <span className="soft">{text.no}</span>}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
