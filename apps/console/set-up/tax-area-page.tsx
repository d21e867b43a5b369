import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link, useParams } from 'react-router';
import type { LawLimit, TaxArea, TaxRule } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import framed from '../parts/framed.module.css';
import { Page } from '../parts/page';
import { TitledTable } from '../parts/titled-table';
import { everySiteQuery } from '../keys/queries';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { EndLimit, RecordLimit } from './law-limit-forms';
import { OpenButton, SetUpViews } from './parts';
import { lawLimitsQuery, taxAreaQuery, taxRulesQuery } from './queries';
import { ChangeArea, countryName } from './tax-areas-page';
import { limitInWords, ruleInWords } from './tax-in-words';
import { EndRule, RecordRule } from './tax-rule-forms';

const text = words.setUp.taxAreas;

/** `set-up/tax-areas/:id`: what is taxed there, what the law limits, and which sites lie in it. */
export function TaxAreaPage() {
  const { areaId = '' } = useParams();
  const { api, may, to } = useOperator();
  const allowed = may('tax-area.read');
  const [isChanging, setChanging] = useState(false);
  const question = useQuery({ ...taxAreaQuery(api, areaId), enabled: allowed });
  if (!allowed) return <Denied title={text.title} />;
  const area = question.data;
  return (
    <Page
      title={area?.name ?? text.title} lead={area === undefined ? undefined : [area.code, countryName(area.country)].join(', ')}
      actions={
        <>
          {may('tax-area.change') && area !== undefined ? <OpenButton onClick={() => setChanging(true)}>{text.changeArea}</OpenButton> : null}
          {may('tax-return.read') ? <Link to={to(`tax?area=${areaId}`)} className="button">{text.file}</Link> : null}
          <SetUpViews />
        </>
      }
    >
      <Answer question={question} lines={8}>
        {(found) => (
          <>
            <Rules area={found} />
            <Limits areaId={areaId} />
            <Sites areaId={areaId} />
            {isChanging ? <ChangeArea area={found} onClose={() => setChanging(false)} /> : null}
          </>
        )}
      </Answer>
    </Page>
  );
}

const inForce = ({ validFrom, validTo }: { readonly validFrom: string; readonly validTo: string | null }): string =>
  validTo === null ? text.from(formatDay(validFrom, locale)) : text.until(formatDay(validFrom, locale), formatDay(validTo, locale));

type Wish = { readonly kind: 'record'; readonly rule: TaxRule | null } | { readonly kind: 'end'; readonly rule: TaxRule };

function Rules({ area }: { readonly area: TaxArea }) {
  const { api, may } = useOperator();
  const [wish, setWish] = useState<Wish | null>(null);
  const question = useQuery(taxRulesQuery(api, area.id));
  const mayRecord = may('tax-rule.create');
  return (
    <>
      <Answer question={question} lines={4}>
        {(rules) => (
          <section className="section" aria-labelledby="rules">
            <h2 id="rules">{text.rules}</h2>
            {rules.length === 0 ? <p className="soft">{text.noRules}</p> : null}
            <ul className={framed.list}>
              {rules.map((rule) => (
                <li key={rule.id} className={framed.frame}>
                  <div>
                    <strong>{rule.document.title}</strong> <span className="code small">{rule.code}</span>
                    <p>{`${ruleInWords(rule.document)}, ${inForce(rule)}`}</p>
                    {rule.source === '' ? null : <p className="soft small">{text.source(rule.source)}</p>}
                  </div>
                  {mayRecord && rule.validTo === null ? (
                    <div className="row">
                      <OpenButton about={rule.document.title} onClick={() => setWish({ kind: 'record', rule })}>{text.rate}</OpenButton>
                      <OpenButton about={rule.document.title} onClick={() => setWish({ kind: 'end', rule })}>{text.end}</OpenButton>
                    </div>
                  ) : null}
                </li>
              ))}
            </ul>
            {mayRecord ? (
              <div>
                <OpenButton onClick={() => setWish({ kind: 'record', rule: null })}>{text.newRule}</OpenButton>
              </div>
            ) : null}
          </section>
        )}
      </Answer>
      {wish?.kind === 'record' ? <RecordRule area={area} rule={wish.rule} onClose={() => setWish(null)} /> : null}
      {wish?.kind === 'end' ? <EndRule area={area} rule={wish.rule} onClose={() => setWish(null)} /> : null}
    </>
  );
}

function Limits({ areaId }: { readonly areaId: string }) {
  const { api, may } = useOperator();
  const [wish, setWish] = useState<'record' | LawLimit | null>(null);
  const question = useQuery(lawLimitsQuery(api, areaId));
  const mayRecord = may('law-limit.create');
  return (
    <>
      <Answer question={question} lines={2}>
        {(limits) => (
          <section className="section" aria-labelledby="limits">
            <h2 id="limits">{text.limits}</h2>
            {limits.length === 0 ? <p className="soft">{text.noLimits}</p> : null}
            <ul className={framed.list}>
              {limits.map((limit) => (
                <li key={limit.id} className={framed.frame}>
                  <div>
                    <p>{`${limitInWords(limit.document)} ${text.inForceSays(inForce(limit))}`}</p>
                    <p className="soft small">{text.source(limit.source)}</p>
                  </div>
                  {mayRecord && limit.validTo === null ? (
                    <div>
                      <OpenButton about={limitInWords(limit.document)} onClick={() => setWish(limit)}>{text.end}</OpenButton>
                    </div>
                  ) : null}
                </li>
              ))}
            </ul>
            {mayRecord ? (
              <div>
                <OpenButton onClick={() => setWish('record')}>{text.newLimit}</OpenButton>
              </div>
            ) : null}
          </section>
        )}
      </Answer>
      {wish === 'record' ? <RecordLimit areaId={areaId} onClose={() => setWish(null)} /> : null}
      {wish !== null && wish !== 'record' ? <EndLimit areaId={areaId} limit={wish} onClose={() => setWish(null)} /> : null}
    </>
  );
}

function Sites({ areaId }: { readonly areaId: string }) {
  const { api, to } = useOperator();
  const question = useQuery(everySiteQuery(api));
  return (
    <Answer question={question} lines={3}>
      {(sites) => (
        <TitledTable
          id="sites" title={text.sites} none={text.noSites} columns={[words.site, words.sites.address]}
          rows={sites.filter(({ taxAreaId }) => taxAreaId === areaId).map((site) => (
            <tr key={site.id}>
              <th scope="row">
                <Link to={to(`sites/${site.id}`)}>{site.name}</Link> <span className="code small">{site.code}</span>
              </th>
              <td>{site.address.join(', ')}</td>
            </tr>
          ))}
        />
      )}
    </Answer>
  );
}
