import { queryOptions, useQuery, useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { OperatorApi } from '../api/operator-api';
import type { AuditFile } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { Amount } from '../parts/amount';
import { Answer } from '../parts/answer';
import { FileField } from '../parts/file-field';
import { errorAt, Form } from '../parts/form';
import type { FormError } from '../parts/error-summary';
import { formErrorsOf } from '../parts/form-errors';
import { SelectField } from '../parts/select-field';
import { TroubleNotice } from '../parts/trouble';
import { useMutation } from '../parts/use-mutation';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { machinesAtQuery } from '../sites/queries';
import { words } from '../words/words';

const text = words.auditFiles;

const auditFilesQuery = (api: OperatorApi, collectionId: string) => queryOptions({ queryKey: ['audit-files', collectionId], queryFn: ({ signal }) => api.auditFiles(collectionId, signal) });

interface Counted {
  readonly machineId: string;
  readonly machineTag: string;
}

interface AuditFilesProps {
  readonly collectionId: string;
  readonly siteId: string;
  /** Machines of the collection; some of them may stand elsewhere now. */
  readonly counted: readonly Counted[];
}

/** Files that machines were read out into at a collection: checked, shown with the machine that they are of, and accepted. */
export function AuditFiles({ collectionId, siteId, counted }: AuditFilesProps) {
  const { api, may } = useOperator();
  const question = useQuery(auditFilesQuery(api, collectionId));
  return (
    <section className="section" aria-labelledby="audit-files">
      <h2 id="audit-files">{text.title}</h2>
      <p className="soft">{text.lead}</p>
      <Answer question={question} lines={3}>
        {(files) => (files.length === 0 ? <p>{text.none}</p> : files.map((file) => <Told key={file.id} file={file} />))}
      </Answer>
      {may('audit-file.stage') ? <Upload collectionId={collectionId} siteId={siteId} counted={counted} /> : null}
    </section>
  );
}

function Upload({ collectionId, siteId, counted }: AuditFilesProps) {
  const { api } = useOperator();
  const client = useQueryClient();
  const id = useId();
  const machines = useQuery(machinesAtQuery(api, siteId));
  // Only what stands there or was emptied there can have been read out there.
  const there = new Map([...counted.map((each) => [each.machineId, each.machineTag] as const), ...(machines.data ?? []).map((machine) => [machine.id, machine.tag] as const)]);
  const [file, setFile] = useState<File | null>(null);
  const [machineId, setMachineId] = useState('');
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const fields = { file: `${id}-file`, machineId: `${id}-machine` };
  const uploading = useMutation({
    mutationFn: api.uploadAuditFile,
    onSuccess: () => client.invalidateQueries({ queryKey: auditFilesQuery(api, collectionId).queryKey }),
    onError: (error) => setErrors(formErrorsOf(error, { fields: { machineId: fields.machineId }, elsewhere: (element, message) => ({ fieldId: fields.file, message: text.element(element, message) }) })),
  });
  const submit = () => {
    setErrors(file === null ? [{ fieldId: fields.file, message: text.fileMissing }] : []);
    if (file !== null) uploading.mutate({ collectionId, machineId: machineId === '' ? null : machineId, file });
  };
  return (
    <Form errors={errors} busy={uploading.isPending} action={text.upload} onSubmit={submit}>
      <FileField id={fields.file} label={text.file} error={errorAt(errors, fields.file)} onFile={setFile} />
      <SelectField
        id={fields.machineId} label={text.machine} value={machineId} none={text.byFile} isLoading={machines.isLoading} error={errorAt(errors, fields.machineId)} onValue={setMachineId}
        options={[...there].map(([value, tag]) => ({ value, text: tag })).sort((one, other) => one.text.localeCompare(other.text, locale))}
      />
    </Form>
  );
}

function Told({ file }: { readonly file: AuditFile }) {
  const { machineTag, machineClock, readOutOn, decimalsTold, readByHand, state, misfits } = file;
  return (
    <div className="stack">
      <h3>
        {machineTag} <span className="state">{text.state[state]}</span>
      </h3>
      <p>
        {howMatched(file)} {machineClock === null ? text.clockUnknown : text.clock(machineClock)} {decimalsTold ? null : text.decimalsAssumed}
      </p>
      {readOutOn === null || state === 'replaced' ? null : <p className="notice">{text.otherDay({ clock: formatDay(readOutOn.clock, locale), visit: formatDay(readOutOn.visit, locale) })}</p>}
      {misfits === null || misfits.length === 0 || state === 'replaced' ? null : (
        <ul className="notice notice-alarm">
          {misfits.map(({ beside, element, message }) => (
            <li key={`${beside} ${element}`}>{text.element(element, message)}</li>
          ))}
        </ul>
      )}
      <Readings file={file} />
      {readByHand.length === 0 ? null : <p className="notice">{text.byHand(readByHand.map(({ meter }) => meter).join(', '))}</p>}
      <Figures figures={file.figures} />
      {state === 'staged' ? <Accept file={file} /> : null}
    </div>
  );
}

function howMatched({ matchedBy, serial, assetNumber }: AuditFile): string {
  switch (matchedBy) {
    case 'serial-number':
      return `${text.matched['serial-number'](serial ?? '')}.`;
    case 'asset-number':
      return `${text.matched['asset-number'](assetNumber ?? '')}.`;
    case 'named':
      return `${text.matched.named}.`;
  }
}

function Readings({ file: { readings } }: { readonly file: AuditFile }) {
  return (
    <table>
      <caption className="visually-hidden">{text.readings}</caption>
      <thead>
        <tr>
          <th scope="col">{text.meter}</th>
          <th scope="col" className="figure">
            {text.shows}
          </th>
        </tr>
      </thead>
      <tbody>
        {readings.map(({ meterId, meter, element, value }) => (
          <tr key={meterId}>
            <th scope="row">
              {meter} <span className="code small">{element}</span>
            </th>
            <td className="figure">{value ?? <span className="soft">{text.hidden}</span>}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

type Figures = NonNullable<AuditFile['figures']>;

function Figures({ figures }: { readonly figures: Figures | null }) {
  if (figures === null) return null;
  return (
    <details>
      <summary>{text.figures}</summary>
      {figures.some(({ name }) => name === 'tubeContents') ? <p className="soft">{words.cash.tubes.unconfirmed}</p> : null}
      <Wide title={text.figures}>
        <table>
          <caption className="visually-hidden">{text.figures}</caption>
          <thead>
            <tr>
              <th scope="col">{text.figure}</th>
              <th scope="col" className="figure">
                {text.sinceReset}
              </th>
              <th scope="col" className="figure">
                {text.sinceSetUp}
              </th>
            </tr>
          </thead>
          <tbody>
            {figures.map(({ name, sinceReset, sinceSetUp }) => (
              <tr key={name}>
                <th scope="row">{text.names[name]}</th>
                <td className="figure">
                  <Side side={sinceReset} />
                </td>
                <td className="figure">
                  <Side side={sinceSetUp} />
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </details>
  );
}

function Side({ side }: { readonly side: Figures[number]['sinceReset'] }) {
  if (side === null) return null;
  return (
    <>
      {side.amount === null ? side.number : <Amount money={side.amount} />} <span className="code small">{side.element}</span>
    </>
  );
}

function Accept({ file }: { readonly file: AuditFile }) {
  const { api, may } = useOperator();
  const client = useQueryClient();
  const accepting = useMutation({
    mutationFn: (_asked: void, key) => api.acceptAuditFile({ id: file.id, machineId: file.machineId }, key),
    onSettled: () => client.invalidateQueries({ queryKey: auditFilesQuery(api, file.collectionId).queryKey }),
  });
  if (!may('audit-file.accept')) return null;
  return (
    <div>
      <button type="button" className="button button-main" aria-disabled={accepting.isPending} onClick={() => (accepting.isPending ? undefined : accepting.mutate())}>
        {accepting.isPending ? words.working : text.accept(file.machineTag)}
      </button>
      {accepting.isError ? <TroubleNotice error={accepting.error} /> : null}
    </div>
  );
}
