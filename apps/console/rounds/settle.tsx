import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { PhoneVisit, Visit } from '../api/shapes';
import { everySiteQuery } from '../keys/queries';
import { ConfirmWithReason } from '../parts/confirm-with-reason';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { recordingErrorsOf } from '../parts/form-errors';
import framed from '../parts/framed.module.css';
import { SelectField } from '../parts/select-field';
import { useMutation } from '../parts/use-mutation';
import { useOperator } from '../session/operator';
import { useSiteZones } from '../sites/site-names';
import { words } from '../words/words';
import { entriesOf, isExchanged, isLastBox, valueAt, withLastBox, without, withValue, type Entry, type Sent } from './leaves';
import { useIssueNames } from './issue-names';
import { LeafField, MomentField } from './leaf-field';
import { useEntryNames } from './entry-names';
import { visitsKey } from './queries';

const text = words.rounds.kept;

/** What the office makes of a visit that was kept aside: it is entered as it is right, or discarded with the reason. */
export function Settle({ visit }: { readonly visit: PhoneVisit }) {
  const { api } = useOperator();
  const client = useQueryClient();
  const [doing, setDoing] = useState<'enter' | 'discard' | null>(null);
  const discarding = useMutation({ mutationFn: api.discardVisit, onSuccess: async () => client.invalidateQueries({ queryKey: visitsKey }) });
  return (
    <div className="row">
      {/* Who may not see what was sent cannot say what is right of it. */}
      {visit.visit === null ? null : (
        <button type="button" className="button" onClick={() => setDoing('enter')}>
          {text.enter}
        </button>
      )}
      <button type="button" className="button" onClick={() => setDoing('discard')}>
        {text.discard}
      </button>
      {doing === 'enter' ? <EnterDialog visit={visit} onClose={() => setDoing(null)} /> : null}
      {doing === 'discard' ? (
        <ConfirmWithReason
          title={text.discardTitle} what={text.discardWhat} action={text.discard} busy={discarding.isPending} error={discarding.error}
          onConfirm={(reason) => discarding.mutate({ id: visit.id, reason })} onClose={() => setDoing(null)}
        />
      ) : null}
    </div>
  );
}

function EnterDialog({ visit, onClose }: { readonly visit: PhoneVisit; readonly onClose: () => void }) {
  const { api } = useOperator();
  const client = useQueryClient();
  const id = useId();
  const sites = useQuery(everySiteQuery(api));
  const zoneOf = useSiteZones();
  const [sent, setSent] = useState<Sent>(visit.visit ?? {});
  const entryOf = useEntryNames(visit.visit ?? {});
  const nameOf = useIssueNames();
  const [left, setLeft] = useState<ReadonlySet<string>>(new Set());
  const [reason, setReason] = useState('');
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const fieldOf = (path: string) => `${id}-${path}`;
  const reasonId = fieldOf('reason');
  const kept = entriesOf(sent).filter(({ group, index }) => !left.has(`${group}/${index}`));
  const entering = useMutation({
    // What the phone sent may have any form; the api says what is wrong with it, field by field.
    isOneThing: true,
    mutationFn: async (_asked: void, key) => api.enterVisit({ id: visit.id, visit: without(sent, left) as unknown as Visit, reason: reason.trim() }, key),
    onSuccess: async () => client.invalidateQueries({ queryKey: visitsKey }),
    onError: (error) => setErrors(recordingErrorsOf(error, { elsewhere: (place, message) => ({ fieldId: fieldAt(place, kept, fieldOf), message }) })),
  });
  const submit = () => {
    const missing = reason.trim().length < 3 ? [{ fieldId: reasonId, message: words.reasonMissing }] : [];
    setErrors(missing);
    if (missing.length === 0) entering.mutate();
  };
  const change = (path: string) => (value: string) => setSent(withValue(sent, path, value));
  const textAt = (path: string): string => {
    const value = valueAt(sent, path);
    return typeof value === 'string' ? value : '';
  };
  return (
    <FormDialog title={text.enterTitle} lead={text.enterLead} errors={errors} busy={entering.isPending} action={text.save} onSubmit={submit} onClose={onClose}>
      <SelectField id={fieldOf('siteId')} label={text.site} none={text.noSite} value={textAt('siteId')} error={errorAt(errors, fieldOf('siteId'))} isLoading={sites.isLoading} options={(sites.data ?? []).map((site) => ({ value: site.id, text: `${site.name} (${site.code})` }))} onValue={change('siteId')} />
      <MomentField
        key={zoneOf({ id: textAt('siteId') })} timeZone={zoneOf({ id: textAt('siteId') })} id={fieldOf('happenedAt')} error={errorAt(errors, fieldOf('happenedAt'))} value={textAt('happenedAt')} onValue={change('happenedAt')}
      />
      {isExchanged(visit.visit ?? {}) ? (
        <label className={framed.tick}>
          <input id={fieldOf('boxesExchanged')} type="checkbox" checked={isExchanged(sent)} onChange={({ currentTarget }) => setSent({ ...sent, boxesExchanged: currentTarget.checked })} />
          {words.phone.visit.exchanged}
        </label>
      ) : null}
      {kept.map((entry) => (
        <fieldset key={`${entry.group}/${entry.index}`} className={framed.frame}>
          <legend>{entryOf(entry)}</legend>
          {entry.leaves.map((leaf) => (
            <LeafField key={leaf.path} id={fieldOf(leaf.path)} sent={sent} leaf={leaf} nameOf={nameOf} error={errorAt(errors, fieldOf(leaf.path))} onValue={change(leaf.path)} />
          ))}
          <LastBox isLast={isLastBox(sent, entry)} onLast={(isLast) => setSent(withLastBox(sent, entry, isLast))} />
          <div>
            <button type="button" className="button-plain" onClick={() => setLeft(new Set([...left, `${entry.group}/${entry.index}`]))}>
              {text.leaveOut}
              <span className="visually-hidden">{` ${entryOf(entry)}`}</span>
            </button>
          </div>
        </fieldset>
      ))}
      <Field id={reasonId} label={words.reason} autoComplete="off" error={errorAt(errors, reasonId)} value={reason} onValue={setReason} />
    </FormDialog>
  );
}

function LastBox({ isLast, onLast }: { readonly isLast: boolean | null; readonly onLast: (isLast: boolean) => void }) {
  if (isLast === null) return null;
  return (
    <label className={framed.tick}>
      <input type="checkbox" checked={isLast} onChange={({ currentTarget }) => onLast(currentTarget.checked)} />
      {words.phone.visit.leaves}
    </label>
  );
}

/** The field that the api means: entries that were left out shift the places of those behind them, `#/visit/counts/0/seal`. */
function fieldAt(place: string, kept: readonly Entry[], fieldOf: (path: string) => string): string | null {
  const [group, index, ...rest] = place.replace(/^#\/visit\//, '').split('/');
  if (group === 'siteId' || group === 'happenedAt' || group === 'boxesExchanged') return fieldOf(group);
  const entry = kept.filter((each) => each.group === group)[Number(index ?? 0)];
  // What is refused of bags as a whole is their seals.
  const named = rest.length === 0 && group === 'bags' ? 'seal' : rest.join('/');
  const leaf = entry?.leaves.find(({ path }) => path.endsWith(`/${named}`)) ?? entry?.leaves[0];
  return leaf === undefined ? null : fieldOf(leaf.path);
}
