import { Link } from 'react-router';
import type { Payment } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { useOperator } from '../session/operator';
import { words } from '../words/words';

/** The payment run with which something was paid, by its name. */
export function RunLink({ run }: { readonly run: NonNullable<Payment['run']> }) {
  const { to, may } = useOperator();
  const name = words.moneyOut.runs.run(formatDay(run.executeOn, locale));
  return may('payment-run.read') ? <Link to={to(`payment-runs/${run.id}`)}>{name}</Link> : name;
}
