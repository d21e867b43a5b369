import { Link, Navigate } from 'react-router';
import type { Role } from '#domain/permissions/role';
import { Page } from '../parts/page';
import { Blank } from '../parts/answer';
import { operatorPath, useOperator } from '../session/operator';
import { useAccount } from '../session/account';
import { words } from '../words/words';

/** `/`: straight on where there is one operator, else a choice. */
export function ChooseOperator() {
  const { operators, name } = useAccount();
  const [only, ...others] = operators;
  if (only !== undefined && others.length === 0) return <Navigate to={operatorPath(only.code)} replace />;
  return (
    <Page title={words.chooseOperator.title} lead={words.chooseOperator.lead(name)}>
      {operators.length === 0 ? <Blank title={words.chooseOperator.none} /> : null}
      <ul className="stack">
        {operators.map(({ id, code, name: operatorName, role }) => (
          <li key={id}>
            <Link to={operatorPath(code)} className="lead">
              {operatorName}
            </Link>
            <div className="soft">{words.roles[role]}</div>
          </li>
        ))}
      </ul>
    </Page>
  );
}

/** Where each role's work begins. */
const FIRST_PLACE: Readonly<Record<Role, string>> = {
  owner: 'month-end',
  bookkeeper: 'month-end',
  reviewer: 'month-end',
  auditor: 'month-end',
  collector: 'today',
  custodian: 'keys',
  'site-manager': 'share',
};

export function Start() {
  const { membership, to } = useOperator();
  return <Navigate to={to(FIRST_PLACE[membership.role])} replace />;
}
