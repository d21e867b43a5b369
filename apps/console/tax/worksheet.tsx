import { useQuery } from '@tanstack/react-query';
import type { TaxWorksheet } from '../api/shapes';
import { locale } from '../format/locale';
import { formatMoney, isZero } from '../format/money';
import { Amount } from '../parts/amount';
import { Answer } from '../parts/answer';
import { Download } from '../parts/download';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { FiledSection } from './filed';
import { TaxPayments } from './payments';
import { worksheetQuery } from './queries';
import { SiteSection } from './sites';

interface WorksheetProps {
  readonly areaId: string;
  readonly month: string;
}

export function Worksheet({ areaId, month }: WorksheetProps) {
  const { api } = useOperator();
  const question = useQuery(worksheetQuery(api, { areaId, month }));
  return (
    <Answer question={question} lines={10}>
      {(worksheet) => (
        <>
          <Figures worksheet={worksheet} />
          <FiledSection worksheet={worksheet} />
          <TaxPayments worksheet={worksheet} />
          <Components worksheet={worksheet} />
          <SiteSection worksheet={worksheet} />
          <Differences worksheet={worksheet} />
        </>
      )}
    </Answer>
  );
}

interface PartProps {
  readonly worksheet: TaxWorksheet;
}

function Figures({ worksheet }: PartProps) {
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

function Figure({ name, money }: { readonly name: string; readonly money: TaxWorksheet['tax'] }) {
  return (
    <tr>
      <th scope="row">{name}</th>
      <td className="figure">
        <Amount money={money} alone />
      </td>
    </tr>
  );
}

function Components({ worksheet }: PartProps) {
  const text = words.tax.components;
  return (
    <section className="section" aria-labelledby="tax-components">
      <h2 id="tax-components">{text.title}</h2>
      <Wide title={text.title}>
        <table>
          <caption className="visually-hidden">{text.title}</caption>
          <thead>
            <tr>
              <th scope="col">{text.component}</th>
              <th scope="col" className="figure">
                {text.base}
              </th>
              <th scope="col" className="figure">
                {text.tax}
              </th>
            </tr>
          </thead>
          <tbody>
            {worksheet.rules.map((rule) => (
              <Rule key={rule.ruleId} rule={rule} />
            ))}
          </tbody>
        </table>
      </Wide>
    </section>
  );
}

function Rule({ rule }: { readonly rule: TaxWorksheet['rules'][number] }) {
  const text = words.tax.components;
  return (
    <>
      <tr className="sum">
        <th scope="row">
          {rule.title}
          <div className="soft small">{rule.source}</div>
        </th>
        <td className="figure">
          <Amount money={rule.base} />
        </td>
        <td className="figure">
          <Amount money={rule.tax} />
        </td>
      </tr>
      {rule.taxable === null ? null : (
        <tr>
          <th scope="row">{text.taxable}</th>
          <td className="figure">
            <Amount money={rule.taxable} />
          </td>
          <td />
        </tr>
      )}
      {isZero(rule.carriedIn) ? null : (
        <tr>
          <th scope="row">{text.carried}</th>
          <td />
          <td className="figure">
            <Amount money={rule.carriedIn} />
          </td>
        </tr>
      )}
      {rule.components.map((component) => (
        <tr key={component.componentId}>
          <th scope="row">{component.title}</th>
          <td className="figure">
            <Amount money={component.base} />
          </td>
          <td className="figure">
            <Amount money={component.tax} />
          </td>
        </tr>
      ))}
    </>
  );
}

/** A reason is told once, at the first of its lines. */
function sameAsAbove({ differences }: TaxWorksheet, index: number): boolean {
  return index > 0 && differences[index - 1]?.text === differences[index]?.text;
}

function Differences({ worksheet }: PartProps) {
  const text = words.tax.differences;
  const titles = new Map(worksheet.rules.map((rule) => [rule.ruleId, rule.title]));
  const sites = new Map(worksheet.sites.map((site) => [site.siteId, `${site.siteCode} ${site.siteName}`]));
  return (
    <section className="section" aria-labelledby="tax-differences">
      <h2 id="tax-differences">{text.title}</h2>
      {worksheet.differences.length === 0 ? (
        <p>{text.none}</p>
      ) : (
        <Wide title={text.title}>
          <table>
            <caption className="visually-hidden">{text.title}</caption>
            <thead>
              <tr>
                <th scope="col">{text.cause}</th>
                <th scope="col">{text.where}</th>
                <th scope="col" className="figure">
                  {text.amount}
                </th>
              </tr>
            </thead>
            <tbody>
              {worksheet.differences.map((line, index) => (
                <tr key={`${line.cause} ${line.siteId ?? line.ruleId ?? ''}`}>
                  <th scope="row">
                    {text.causes[line.cause]}
                    {sameAsAbove(worksheet, index) ? null : <div className="soft small">{line.text}</div>}
                  </th>
                  <td>{(line.siteId === null ? undefined : sites.get(line.siteId)) ?? line.siteCode ?? titles.get(line.ruleId ?? '')}</td>
                  <td className="figure">
                    <Amount money={line.amount} signs="exceptZero" />
                  </td>
                </tr>
              ))}
              <tr className="sum">
                <th scope="row">{words.tax.figures.difference}</th>
                <td />
                <td className="figure">
                  <Amount money={worksheet.difference} signs="exceptZero" />
                </td>
              </tr>
            </tbody>
          </table>
        </Wide>
      )}
    </section>
  );
}
