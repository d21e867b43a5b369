import { useQuery } from '@tanstack/react-query';
import { Link } from 'react-router';
import { locale } from '../format/locale';
import { useOperator } from '../session/operator';
import { toleranceQuery } from '../set-up/queries';
import { words } from '../words/words';

/** That differences are followed up in none of some currencies, however large they are. Nothing is shown where each has its tolerance. */
export function NoTolerance({ isHere = false }: { /** On the page where tolerances are recorded, which needs no way to itself. */ readonly isHere?: boolean }) {
  const { api, may, to } = useOperator();
  const without = useQuery({ ...toleranceQuery(api), enabled: may('tolerance-rule-set.read') }).data?.withoutTolerance ?? [];
  if (without.length === 0) return null;
  return (
    <p className="notice notice-alarm">
      {words.variances.noTolerance.says(new Intl.ListFormat(locale).format(without))} {may('tolerance-rule-set.record') ? (isHere ? null : <Link to={to('set-up/tolerances')}>{words.variances.noTolerance.record}</Link>) : words.variances.noTolerance.ask}
    </p>
  );
}
