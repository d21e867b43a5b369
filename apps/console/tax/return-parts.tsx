import type { ReturnFigures } from '../api/shapes';
import { isZero } from '../format/money';
import { Amount } from '../parts/amount';
import { Wide } from '../parts/wide';
import { words } from '../words/words';

interface PartProps {
  readonly figures: ReturnFigures;
}

export function Figure({ name, money }: { readonly name: string; readonly money: ReturnFigures['tax'] }) {
  return (
    <tr>
      <th scope="row">{name}</th>
      <td className="figure">
        <Amount money={money} alone />
      </td>
    </tr>
  );
}

/** Base and tax of each rule, component by component. */
export function Components({ figures }: PartProps) {
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
            {figures.rules.map((rule) => (
              <Rule key={rule.ruleId} rule={rule} />
            ))}
          </tbody>
        </table>
      </Wide>
    </section>
  );
}

function Rule({ rule }: { readonly rule: ReturnFigures['rules'][number] }) {
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
function sameAsAbove({ differences }: ReturnFigures, index: number): boolean {
  return index > 0 && differences[index - 1]?.text === differences[index]?.text;
}

/** Why the return is not what settlements booked, down to the unit. */
export function Differences({ figures }: PartProps) {
  const text = words.tax.differences;
  const titles = new Map(figures.rules.map((rule) => [rule.ruleId, rule.title]));
  const sites = new Map(figures.sites.map((site) => [site.siteId, `${site.siteCode} ${site.siteName}`]));
  return (
    <section className="section" aria-labelledby="tax-differences">
      <h2 id="tax-differences">{text.title}</h2>
      {figures.differences.length === 0 ? (
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
              {figures.differences.map((line, index) => (
                <tr key={`${line.cause} ${line.siteId ?? line.ruleId ?? ''}`}>
                  <th scope="row">
                    {text.causes[line.cause]}
                    {sameAsAbove(figures, index) ? null : <div className="soft small">{text.whats[line.cause]}</div>}
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
                  <Amount money={figures.difference} signs="exceptZero" />
                </td>
              </tr>
            </tbody>
          </table>
        </Wide>
      )}
    </section>
  );
}
