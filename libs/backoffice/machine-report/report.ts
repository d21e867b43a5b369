import { formatInstant } from '#contracts/format';
import type { MachineReports, MachineReportsQuery, Report, Reported } from '#contracts/machine-report';
import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import { rolledBack, withTenant } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { refusedWhileSealed } from '../collection/blind';
import { hashSecret } from '../identity/secret';
import { tooLarge } from '../meter/check-readings';
import { isMachine, selectMeters, type MeterRow } from '../meter/meter.sql';
import { selectSitesOf } from '../meter/reading.sql';
import { isFittedAt } from '../meter/to-board';
import { CLOCK_TOLERANCE_MS } from '../moment';
import { perform } from '../perform';
import { insertEvents, insertReported, selectEvents, selectReported, selectReporter } from './machine-report.sql';
import { TOKEN_PREFIX } from './token';

const TOKEN = new RegExp(`^${TOKEN_PREFIX}([0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12})_[A-Za-z0-9_-]{43}$`);

/**
 * Takes what a machine says of itself: once, however often and in whatever order it comes. It stands beside what people
 * read and counted, and replaces nothing. `secret` is the bearer token; which of unknown and revoked it is, is not said.
 */
export async function takeReport(deps: Backoffice, report: Report & { readonly secret: string | undefined; readonly requestId: string }): Promise<Outcome<Reported>> {
  const { secret = '', requestId } = report;
  const tenantId = TOKEN.exec(secret)?.[1];
  if (tenantId === undefined) return refused('not-signed-in');
  return withTenant<Outcome<Reported>>(deps.database, { tenantId, kind: 'system', id: 'machine-report', requestId }, async (tx) => {
    const reporter = await selectReporter(tx, hashSecret(secret));
    if (reporter === null) return rolledBack(refused('not-signed-in'));
    if (reporter.machine_tag !== report.machineTag) {
      return rolledBack(refusedFields('invalid-command', [{ path: ['machineTag'], code: 'other-machine', message: 'This token speaks for another machine.' }]));
    }
    const now = deps.clock.now();
    const meters = await selectMeters(tx, [reporter.machine_id]);
    const checked = report.readings.map((reading, index) => checkReading(reading, { meters, now, path: ['readings', index] }));
    const wrong = [...checked.flatMap((each) => ('path' in each ? [each] : [])), ...report.events.flatMap((event, index) => aheadOf(now, event.happenedAt, ['events', index, 'happenedAt']))];
    if (wrong.length > 0) return rolledBack(refusedFields('invalid-command', wrong));
    const from = { machineId: reporter.machine_id, tokenId: reporter.id, now };
    const readings = checked.flatMap((each) => ('path' in each ? [] : [each]));
    return done({
      readings: readings.length === 0 ? 0 : await insertReported(tx, readings, from),
      events: report.events.length === 0 ? 0 : await insertEvents(tx, report.events, from),
    });
  });
}

/** The latest that a machine reported. As with readings, not for who counts while a collection of its site waits. */
export function readReports(deps: Backoffice, caller: Caller, query: { readonly machineId: string } & MachineReportsQuery): Promise<Outcome<MachineReports>> {
  return perform<MachineReports>(deps, caller, 'machine-report.read', async (unit) => {
    const { tx } = unit;
    if (!(await isMachine(tx, query.machineId))) return refused('not-found');
    const sealed = await refusedWhileSealed(unit, caller, await selectSitesOf(tx, query.machineId), { ofBoxesNow: true });
    if (sealed !== null) return sealed;
    const [readings, events] = [await selectReported(tx, query), await selectEvents(tx, query)];
    return done({
      readings: readings.map((row) => ({ meterId: row.meter_id, meter: row.label, value: String(row.value), readAt: formatInstant(row.read_at), receivedAt: formatInstant(row.received_at) })),
      events: events.map((row) => ({ kind: row.kind, fault: row.fault === '' ? null : row.fault, happenedAt: formatInstant(row.happened_at), receivedAt: formatInstant(row.received_at) })),
    });
  });
}

type Checked = { readonly meterId: string; readonly capacity: bigint; readonly readAt: Date; readonly value: bigint };

function checkReading(reading: Report['readings'][number], { meters, now, path }: { readonly meters: readonly MeterRow[]; readonly now: Date; readonly path: readonly (string | number)[] }): Checked | WrongField {
  const readAt = new Date(reading.readAt);
  const [ahead] = aheadOf(now, reading.readAt, [...path, 'readAt']);
  if (ahead !== undefined) return ahead;
  const meter = meters.find((each) => each.label === reading.meter && isFittedAt(each, readAt));
  if (meter === undefined) return { path: [...path, 'meter'], code: 'unknown', message: `The machine had no meter ${reading.meter} at this moment.` };
  const value = BigInt(reading.value);
  if (value >= meter.capacity) return { path: [...path, 'value'], code: 'too-many-digits', message: tooLarge(meter) };
  return { meterId: meter.id, capacity: meter.capacity, readAt, value };
}

function aheadOf(now: Date, instant: string, path: readonly (string | number)[]): WrongField[] {
  if (new Date(instant).getTime() <= now.getTime() + CLOCK_TOLERANCE_MS) return [];
  return [{ path, code: 'in-future', message: 'What has not happened yet is not reported. Check the clock of the machine.' }];
}
