import { useQuery } from '@tanstack/react-query';
import { useId } from 'react';
import type { TaxArea } from '../api/shapes';
import { useAddressParameters } from '../parts/address-parameters';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Field } from '../parts/field';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { isMonth, lastMonth } from './month';
import { taxAreasQuery } from './queries';
import { Worksheet } from './worksheet';

/** `tax`: what is to be filed for an area and month, and how it goes together with what settlements booked. */
export function TaxPage() {
  const { api, may } = useOperator();
  const allowed = may('tax-return.read');
  const question = useQuery({ ...taxAreasQuery(api), enabled: allowed });
  if (!allowed) return <Denied title={words.tax.title} />;
  return (
    <Page title={words.tax.title} lead={words.tax.lead}>
      <Answer question={question} lines={8}>
        {({ items }) => (items.length === 0 ? <Blank title={words.tax.noAreas} /> : <Chosen areas={items} />)}
      </Answer>
    </Page>
  );
}

/** Area and month stand in the address, so that they can be sent to a colleague. */
function Chosen({ areas }: { readonly areas: readonly TaxArea[] }) {
  const [parameters, change] = useAddressParameters();
  const id = useId();
  const areaId = areas.find((area) => area.id === parameters.get('area'))?.id ?? areas[0]?.id ?? '';
  const asked = parameters.get('month') ?? '';
  const month = isMonth(asked) ? asked : lastMonth(new Date());
  return (
    <>
      <div className="form">
        <div className="field">
          <label htmlFor={`${id}-area`}>{words.tax.area}</label>
          <select id={`${id}-area`} value={areaId} onChange={(event) => change({ area: event.currentTarget.value })}>
            {areas.map((area) => (
              <option key={area.id} value={area.id}>
                {area.name}
              </option>
            ))}
          </select>
        </div>
        {/* A browser's picker says nothing while a month is half typed. */}
        <Field id={`${id}-month`} type="month" label={words.tax.month} defaultValue={month} onValue={(value) => (isMonth(value) ? change({ month: value }) : undefined)} />
      </div>
      <Worksheet key={`${areaId} ${month}`} areaId={areaId} month={month} />
    </>
  );
}
