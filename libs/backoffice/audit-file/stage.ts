import { createHash } from 'node:crypto';
import type { AuditFile, AuditUploadQuery } from '#contracts/audit-file';
import { done, type Outcome } from '#contracts/outcome';
import { counted, elementOfFigure, type FigureName, type Side } from '#domain/audit-data/elements';
import { readAuditData, type AuditData } from '#domain/audit-data/read';
import type { Figure } from '#domain/audit-data/sums';
import { minorOf } from '#domain/audit-data/to-meters';
import { currencyDigits, type CurrencyCode } from '#domain/money/currency';
import type { Caller } from '../caller';
import { isSealed } from '../collection/blind';
import type { Backoffice } from '../dependencies';
import { lockMachines, selectMeters } from '../meter/meter.sql';
import { isFittedAt } from '../meter/to-board';
import { perform } from '../perform';
import { insertAuditFile, selectCandidates, type Candidate } from './audit-file.sql';
import { checkFigures, fed, momentOfReadOut, refusedElements, refusedQuery } from './check';
import { readBack } from './read';
import { auditWords } from './words';

export type StageAuditFile = AuditUploadQuery & { readonly bytes: AsyncIterable<Uint8Array> };

/**
 * Takes in what a machine told at a collection: checked whole, matched to the machine that it names, and kept waiting.
 * Nothing of it is a reading before somebody accepts it. Refuses with `file-not-readable`, by the element that is wrong.
 */
export async function stageAuditFile(deps: Backoffice, caller: Caller, command: StageAuditFile): Promise<Outcome<AuditFile>> {
  const bytes = await whole(command.bytes);
  return perform<AuditFile>(deps, caller, 'audit-file.stage', async (unit) => {
    const { tx, now } = unit;
    const read = readAuditData(bytes);
    if (!read.ok) return refusedElements([{ element: read.refusal.element, code: read.refusal.code, message: `${auditWords[read.refusal.code]} Line ${String(read.refusal.line)}.` }]);
    const { data } = read;
    const matched = matchMachine(data, { candidates: await selectCandidates(tx, { ...data, machineId: command.machineId ?? null }), machineId: command.machineId });
    if (!matched.ok) return matched;
    const { machineId, matchedBy } = matched.value;
    // The collection before its machines, as everywhere else.
    const moment = await momentOfReadOut(tx, { collectionId: command.collectionId, machineId });
    if (!moment.ok) return moment;
    const { at, siteId } = moment.value;
    await lockMachines(tx, [machineId]);
    const meters = (await selectMeters(tx, [machineId])).filter((meter) => isFittedAt(meter, at));
    const currency = meters[0]?.currency;
    if (currency === undefined) return refusedQuery('machineId', 'no-board', 'No board with meters is recorded in this machine at that time: record it first.');
    if (data.currency !== null && data.currency !== currency) return refusedElements([{ element: 'ID403', code: 'other-currency', message: `The meters of the machine count ${currency}.` }]);
    const figures = inMinorUnits(data, currency);
    if (!figures.ok) return figures;
    const sha256 = createHash('sha256').update(bytes).digest();
    const checked = await checkFigures(tx, { machineId, sha256, figures: figures.value, at, fed: fed(figures.value, { meters, at }), isTold: !(await isSealed(unit, caller, siteId)) });
    if (!checked.ok) return checked;
    const id = deps.newId();
    const clock = data.clock === null ? null : [data.clock.day, ...(data.clock.time === null ? [] : [data.clock.time])].join(' ');
    const names = { serial: data.serial ?? '', asset_number: data.assetNumber ?? '', matched_by: matchedBy, machine_clock: clock };
    await insertAuditFile(tx, { id, collection_id: command.collectionId, machine_id: machineId, sha256, bytes, ...names, currency, decimals_told: data.decimals !== null, staged_at: now, figures: figures.value });
    return readBack(unit, caller, id);
  });
}

async function whole(bytes: AsyncIterable<Uint8Array>): Promise<Uint8Array> {
  const chunks: Uint8Array[] = [];
  for await (const chunk of bytes) chunks.push(chunk);
  return Buffer.concat(chunks);
}

type Match = { readonly machineId: string; readonly matchedBy: AuditFile['matchedBy'] };

/** The machine of a file: the one that it names, or the one that is named for it where it names none that is known. */
function matchMachine({ serial, assetNumber }: AuditData, { candidates, machineId }: { readonly candidates: readonly Candidate[]; readonly machineId: string | undefined }): Outcome<Match> {
  const named = candidates.find(({ id }) => id === machineId);
  if (machineId !== undefined && named === undefined) return refusedQuery('machineId', 'unknown', 'There is no machine with this id.');
  const bySerial = candidates.filter((each) => serial !== null && each.serial_number === serial);
  const byAsset = candidates.filter((each) => assetNumber !== null && each.tag === assetNumber.toUpperCase());
  const [element, matchedBy, found] = bySerial.length > 0 ? (['ID101', 'serial-number', bySerial] as const) : (['ID106', 'asset-number', byAsset] as const);
  const own = machineId === undefined ? (found.length === 1 ? found[0] : undefined) : found.find(({ id }) => id === machineId);
  const wrong = (at: string, code: string, message: string): Outcome<never> => refusedElements([{ element: at, code, message }]);
  if (own !== undefined) {
    if (bySerial.length === 0 && serial !== null && own.serial_number !== null) return wrong('ID101', 'other-machine', `The serial number of machine ${own.tag} is another one.`);
    if (bySerial.length > 0 && byAsset.some(({ id }) => id !== own.id)) return wrong('ID106', 'other-machine', `By its serial number it is machine ${own.tag}, by its own number another one.`);
    return done({ machineId: own.id, matchedBy });
  }
  if (found.length > 1) return refusedQuery('machineId', 'missing', 'Several machines have this serial number: say which one it is.');
  if (found[0] !== undefined) return wrong(element, 'other-machine', `The file is of machine ${found[0].tag}.`);
  if (named === undefined) return refusedQuery('machineId', 'missing', 'No machine has the serial number or the number of the file: say which one it is.');
  if (serial !== null && named.serial_number !== null) return wrong('ID101', 'other-machine', `The serial number of machine ${named.tag} is another one.`);
  return done({ machineId: named.id, matchedBy: 'named' });
}

/** Amounts that the currency cannot have are refused, not rounded. */
function inMinorUnits({ figures, decimals }: AuditData, currency: CurrencyCode): Outcome<Map<FigureName, Figure>> {
  const digits = currencyDigits(currency);
  const wrong: { element: string; code: string; message: string }[] = [];
  const side = (name: FigureName, figure: Figure, of: Side): bigint | null => {
    const value = figure[of];
    if (value === null || counted.has(name)) return value;
    const minor = minorOf(value, { decimals: decimals ?? digits, digits });
    if (minor === null) wrong.push({ element: elementOfFigure(name, of), code: 'not-whole-units', message: `No amount of ${currency} has as many decimals.` });
    return minor;
  };
  const scaled = new Map([...figures].map(([name, figure]) => [name, { sinceReset: side(name, figure, 'sinceReset'), sinceSetUp: side(name, figure, 'sinceSetUp') }] as const));
  return wrong.length > 0 ? refusedElements(wrong) : done(scaled);
}
