import { useState } from 'react';
import { Link } from 'react-router';
import type { ReturnFigures } from '../api/shapes';
import { Amount } from '../parts/amount';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';

interface SitesProps {
  readonly figures: ReturnFigures;
}

type SiteFigures = ReturnFigures['sites'][number];

/** Sites of the area; each opens to its machines. */
export function SiteSection({ figures }: SitesProps) {
  const text = words.tax.sites;
  const [openId, setOpenId] = useState<string | null>(null);
  const open = figures.sites.find((site) => site.siteId === openId);
  return (
    <section className="section" aria-labelledby="tax-sites">
      <h2 id="tax-sites">{text.title}</h2>
      {figures.sites.length === 0 ? (
        <p>{text.none}</p>
      ) : (
        <Wide title={text.title}>
          <table>
            <caption className="visually-hidden">{text.title}</caption>
            <thead>
              <tr>
                <th scope="col">{words.site}</th>
                <th scope="col" className="figure">
                  {words.tax.components.tax}
                </th>
                <th scope="col" className="figure">
                  {text.booked}
                </th>
                <td>
                  <span className="visually-hidden">{text.machines}</span>
                </td>
              </tr>
            </thead>
            <tbody>
              {figures.sites.map((site) => (
                <OneSite key={site.siteId} site={site} isOpen={site.siteId === openId} onToggle={() => setOpenId(site.siteId === openId ? null : site.siteId)} />
              ))}
            </tbody>
          </table>
        </Wide>
      )}
      {open === undefined ? null : <Machines site={open} figures={figures} />}
    </section>
  );
}

interface OneSiteProps {
  readonly site: SiteFigures;
  readonly isOpen: boolean;
  readonly onToggle: () => void;
}

function OneSite({ site, isOpen, onToggle }: OneSiteProps) {
  const { to } = useOperator();
  return (
    <tr>
      <th scope="row">
        <Link to={to(`sites/${site.siteId}`)}>{site.siteName}</Link> <span className="code small">{site.siteCode}</span>
      </th>
      <td className="figure">
        <Amount money={site.tax} />
      </td>
      <td className="figure">
        <Amount money={site.booked} />
      </td>
      <td>
        <button type="button" className="button-plain" aria-expanded={isOpen} onClick={onToggle}>
          {isOpen ? words.tax.sites.hideMachines : words.tax.sites.showMachines}
          <span className="visually-hidden">{` ${site.siteName}`}</span>
        </button>
      </td>
    </tr>
  );
}

function Machines({ site, figures }: { readonly site: SiteFigures; readonly figures: ReturnFigures }) {
  const title = words.tax.machines.title(site.siteName);
  const rows = figures.machines.filter((row) => row.siteId === site.siteId);
  const components = new Map(figures.rules.flatMap((rule) => rule.components.map((component) => [`${component.ruleId} ${component.componentId}`, component.title])));
  if (rows.length === 0) return <p>{words.tax.machines.none}</p>;
  return (
    <Wide title={title}>
      <table>
        <caption>{title}</caption>
        <thead>
          <tr>
            <th scope="col">{words.machine}</th>
            <th scope="col">{words.tax.components.component}</th>
            <th scope="col" className="figure">
              {words.tax.components.base}
            </th>
            <th scope="col" className="figure">
              {words.tax.components.tax}
            </th>
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={`${row.machineId} ${row.ruleId} ${row.componentId}`}>
              <th scope="row">
                <span className="code">{row.machineTag}</span> <span className="soft small">{words.machineKind(row.machineKind)}</span>
              </th>
              <td>{components.get(`${row.ruleId} ${row.componentId}`)}</td>
              <td className="figure">
                <Amount money={row.base} />
              </td>
              <td className="figure">
                <Amount money={row.tax} />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
