import type { Agreement } from '../api/shapes';
import { Field } from '../parts/field';
import { FormDialog } from '../parts/form-dialog';
import { useTypedForm } from '../parts/use-typed-form';
import { useOperator } from '../session/operator';
import { partiesKey, sitesKey } from '../set-up/queries';
import { words } from '../words/words';

const text = words.agreements;

/** Nothing that is collected later is settled under it. */
export function EndAgreement({ agreement, onClose }: { readonly agreement: Agreement; readonly onClose: () => void }) {
  const { api } = useOperator();
  const { field, errors, busy, submit } = useTypedForm({
    initial: { endedOn: '' },
    missing: (now) => ({ endedOn: now.endedOn === '' && words.setUp.dayMissing }),
    body: (now) => ({ id: agreement.id, endedOn: now.endedOn }),
    send: api.endAgreement,
    changes: [sitesKey, partiesKey, ['month-end']],
    onDone: onClose,
  });
  return (
    <FormDialog title={text.endTitle(agreement.partyName)} lead={text.endLead} errors={errors} busy={busy} action={text.end} onSubmit={submit} onClose={onClose}>
      <Field {...field('endedOn')} type="date" label={text.endedOn} />
    </FormDialog>
  );
}
