import { useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { Link } from 'react-router';
import type { TaxWorksheet } from '../api/shapes';
import { dayOf, formatDay } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import { Confirm } from '../parts/confirm';
import { Field } from '../parts/field';
import { useMutation } from '../parts/use-mutation';
import { useOperator } from '../session/operator';
import { words } from '../words/words';

interface FiledProps {
  readonly worksheet: TaxWorksheet;
}

/** What was recorded as filed for the month, what has changed since, and the way to record it. */
export function FiledSection({ worksheet }: FiledProps) {
  const { may, to } = useOperator();
  const [asked, setAsked] = useState(false);
  const { next } = worksheet;
  return (
    <section className="section">
      <div className="notice">
        <p>{filedText(worksheet)}</p>
        {worksheet.filed === null ? null : <Link to={to(`tax/${worksheet.taxAreaId}/returns/${worksheet.filed.returnId}`)}>{words.tax.returns.see}</Link>}
        {worksheet.filed === null ? null : <p>{changeText(worksheet)}</p>}
        {worksheet.differences.some(({ cause }) => cause === 'not-settled') ? <p>{words.tax.filed.unsettled}</p> : null}
      </div>
      {next === null || !may('tax-return.file') ? null : (
        <div>
          <button type="button" className="button button-main" onClick={() => setAsked(true)}>
            {words.tax.file.action[next]}
          </button>
        </div>
      )}
      {asked && next !== null ? <Filing worksheet={worksheet} action={words.tax.file.action[next]} onClose={() => setAsked(false)} /> : null}
    </section>
  );
}

function filedText({ filed }: TaxWorksheet): string {
  if (filed === null) return words.tax.filed.none;
  return words.tax.filed.last({ position: filed.position, day: formatDay(filed.filedOn, locale), tax: formatMoney(filed.tax, locale) });
}

function changeText({ filed, next }: TaxWorksheet): string {
  if (filed === null || next === null || next === 'original') return words.tax.filed.same;
  return next === 'amended'
    ? words.tax.filed.amended(formatMoney(filed.taxSince, locale, 'exceptZero'))
    : words.tax.filed.booking(formatMoney(filed.bookedSince, locale, 'exceptZero'));
}

function Filing({ worksheet, action, onClose }: FiledProps & { readonly action: string; readonly onClose: () => void }) {
  const { api } = useOperator();
  const client = useQueryClient();
  const id = useId();
  const [filedOn, setFiledOn] = useState(() => dayOf(new Date()));
  const [reference, setReference] = useState('');
  const filing = useMutation({
    mutationFn: api.fileReturn,
    onSuccess: async () => {
      await Promise.all([['tax', 'worksheet'], ['tax', 'returns']].map((queryKey) => client.invalidateQueries({ queryKey })));
      onClose();
    },
  });
  const text = words.tax.file;
  return (
    <Confirm
      title={action} action={action} busy={filing.isPending} error={filing.error} onClose={onClose}
      onConfirm={() => filing.mutate({ areaId: worksheet.taxAreaId, month: worksheet.month, filedOn, reference, digest: worksheet.digest })}
    >
      <p>{text.what}</p>
      <p>{text.check}</p>
      <Field id={`${id}-day`} type="date" label={text.filedOn} value={filedOn} onValue={setFiledOn} />
      <Field id={`${id}-reference`} label={text.reference} value={reference} onValue={setReference} />
    </Confirm>
  );
}
