import { useQuery } from '@tanstack/react-query';
import type { TaxWorksheet } from '../api/shapes';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import { Answer } from '../parts/answer';
import { Download } from '../parts/download';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { FiledSection } from './filed';
import { TaxPayments } from './payments';
import { worksheetQuery } from './queries';
import { Components, Differences, Figure } from './return-parts';
import { Returns } from './returns';
import { SiteSection } from './sites';

interface WorksheetProps {
  readonly areaId: string;
  readonly month: string;
}

export function Worksheet({ areaId, month }: WorksheetProps) {
  const { api } = useOperator();
  const question = useQuery(worksheetQuery(api, { areaId, month }));
  return (
    <>
      <Answer question={question} lines={10}>
        {(worksheet) => (
          <>
            <Figures worksheet={worksheet} />
            <FiledSection worksheet={worksheet} />
            <TaxPayments worksheet={worksheet} />
            <Returns areaId={areaId} />
            <Components figures={worksheet} />
            <SiteSection figures={worksheet} />
            <Differences figures={worksheet} />
          </>
        )}
      </Answer>
      {question.isError && question.data === undefined ? <Returns areaId={areaId} /> : null}
    </>
  );
}

function Figures({ worksheet }: { readonly worksheet: TaxWorksheet }) {
  const { api } = useOperator();
  const text = words.tax.figures;
  return (
    <section className="section" aria-labelledby="tax-figures">
      <h2 id="tax-figures">{text.title}</h2>
      <table>
        <caption className="visually-hidden">{text.title}</caption>
        <tbody>
          <Figure name={text.tax} money={worksheet.tax} />
          <Figure name={text.booked} money={worksheet.booked} />
          <Figure name={text.difference} money={worksheet.difference} />
          {worksheet.filed === null ? null : (
            <>
              <Figure name={text.paid} money={worksheet.authority.paid} />
              <Figure name={text.open} money={worksheet.authority.open} />
            </>
          )}
        </tbody>
      </table>
      <p className="soft">{words.tax.waiting(formatMoney(worksheet.payable, locale))}</p>
      <Download file={() => api.worksheetFile({ areaId: worksheet.taxAreaId, month: worksheet.month })} />
    </section>
  );
}
