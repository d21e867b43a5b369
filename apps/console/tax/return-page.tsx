import { useQuery } from '@tanstack/react-query';
import { Link, useParams } from 'react-router';
import type { FiledTaxReturn } from '../api/shapes';
import { formatDay, formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import { monthInWords } from '../format/month-in-words';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { taxReturnQuery } from './queries';
import { Components, Differences, Figure } from './return-parts';
import { SiteSection } from './sites';

/** `tax/:areaId/returns/:returnId`: a return with its figures as they were filed, whatever has changed since. */
export function TaxReturnPage() {
  const { areaId = '', returnId = '' } = useParams();
  const { api, may } = useOperator();
  const allowed = may('tax-return.read');
  const question = useQuery({ ...taxReturnQuery(api, { areaId, returnId }), enabled: allowed });
  const text = words.tax.returns;
  if (!allowed) return <Denied title={words.tax.title} />;
  const filed = question.data;
  return (
    <Page title={filed === undefined ? words.tax.title : text.titleOf(filed.figures.areaName, monthInWords(filed.month))} lead={filed === undefined ? undefined : text.lead(filed.position, text.kinds[filed.kind])}>
      <Answer question={question} lines={10}>
        {(found) => (
          <>
            <Filed filed={found} />
            <Components figures={found.figures} />
            <SiteSection figures={found.figures} />
            <Differences figures={found.figures} />
          </>
        )}
      </Answer>
    </Page>
  );
}

function Filed({ filed }: { readonly filed: FiledTaxReturn }) {
  const { to } = useOperator();
  const nameOf = useActorName();
  const text = words.tax.returns;
  const { figures, kind, taxChange, filedOn, reference, note, recordedAt, recordedBy, taxAreaId, month } = filed;
  return (
    <section className="section" aria-labelledby="tax-filed">
      <h2 id="tax-filed">{text.asFiled}</h2>
      <table>
        <caption className="visually-hidden">{text.asFiled}</caption>
        <tbody>
          <Figure name={words.tax.figures.tax} money={figures.tax} />
          <Figure name={words.tax.figures.booked} money={figures.booked} />
          <Figure name={words.tax.figures.difference} money={figures.difference} />
        </tbody>
      </table>
      {kind === 'original' ? null : <p>{text.changed(formatMoney(taxChange, locale, 'exceptZero'))}</p>}
      <p>{[text.filedOn(formatDay(filedOn, locale)), ...(reference === '' ? [] : [text.referenceIs(reference)]), text.recordedBy(nameOf(recordedBy), formatInstant(recordedAt, locale))].join(' ')}</p>
      {note === '' ? null : <p>{note}</p>}
      <p>
        <Link to={to(`tax?area=${taxAreaId}&month=${month}`)}>{text.toWorksheet}</Link>
      </p>
    </section>
  );
}
