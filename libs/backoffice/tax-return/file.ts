import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { FiledTaxReturn, FileTaxReturn, TaxReturnListQuery, TaxReturnRecord } from '#contracts/tax-return';
import { formatInstant } from '#contracts/format';
import { moneyOf, type Money } from '#contracts/money';
import type { Page } from '#contracts/page';
import { localDate } from '#domain/calendar/local-date';
import { taxFiled } from '#domain/journal/entries';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { refusedWhenClosed } from '../journal/period';
import { postEntries } from '../journal/post';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { taken } from '../refusal';
import { lockTaxArea, selectTaxArea } from '../tax/tax.sql';
import { insertReturn, selectFigures, selectReturn, selectReturns, type ReturnRow } from './return.sql';
import { computeMonth, nextKind, type ComputedMonth } from './worksheet';

/**
 * Records the figures of a month as filed, and posts them: what settlements booked becomes what is owed to the authority,
 * the rest goes to the account of differences. Filed again after later changes, only what has changed is posted.
 */
export async function fileReturn(deps: Backoffice, caller: Caller, command: FileTaxReturn & { readonly areaId: string }): Promise<Outcome<TaxReturnRecord>> {
  const { areaId, month, filedOn, reference, note } = command;
  return perform(
    deps,
    caller,
    'tax-return.file',
    async ({ tx, now }) => {
      // Two people who file at once come one after the other, and the second finds nothing changed.
      if ((await lockTaxArea(tx, areaId)) === null) return refused('not-found');
      const computed = await computeMonth(tx, { areaId, month });
      if (!computed.ok) return computed;
      const { figures, result, last, digest, from, until } = computed.value;
      if (filedOn < until) return refusedFields('invalid-command', [{ path: ['filedOn'], code: 'month-not-over', message: `The month goes on until ${until}.` }]);
      const closed = await refusedWhenClosed(tx, { day: localDate(filedOn), path: ['filedOn'] });
      if (closed !== null) return closed;
      const kind = nextKind(computed.value);
      if (kind === null) return refused('wrong-state', { detail: `These figures were filed on ${last?.filed_on ?? ''} already.` });
      if (digest.toString('hex') !== command.digest) return refused('figures-changed');

      const id = command.id ?? deps.newId();
      const filed = {
        id, tax_area_id: areaId, month: from, position: (last?.position ?? 0) + 1, kind, currency: figures.currency, tax_minor: result.taxMinor,
        booked_minor: result.bookedMinor, digest, filed_on: filedOn, reference, note, carried: carriedOf(computed.value), figures,
      };
      const row = await insertReturn(tx, filed, now);
      const head = { id: deps.newId(), date: filedOn, currency: figures.currency, sourceId: id };
      const change = { areaId, taxMinor: row.tax_minor - row.tax_before_minor, bookedMinor: row.booked_minor - row.booked_before_minor };
      await postEntries(tx, { entries: [taxFiled(head, change)], recordedAt: now });
      return done(toReturn(row));
    },
    { constraints: { tax_return_pkey: taken(['id'], 'a return with this id') } },
  );
}

/** By tax, as text: whole minor units are no JSON numbers. */
function carriedOf({ result }: ComputedMonth): Record<string, string> {
  return Object.fromEntries(result.rules.filter((rule) => rule.carriedOutMinor !== 0n).map((each) => [each.rule.taxId, each.carriedOutMinor.toString()]));
}

const cursorSchema = z.tuple([z.iso.date(), z.int()]);

/** Returns of an area, the latest month first. */
export async function listReturns(deps: Backoffice, caller: Caller, query: TaxReturnListQuery & { readonly areaId: string }): Promise<Outcome<Page<TaxReturnRecord>>> {
  return perform(deps, caller, 'tax-return.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    if ((await selectTaxArea(tx, query.areaId)) === null) return refused('not-found');
    const month = query.month === undefined ? null : `${query.month}-01`;
    const rows = await selectReturns(tx, { areaId: query.areaId, month, after, limit: query.limit });
    return done(toPage({ rows, limit: query.limit, item: toReturn, keyOf: (row) => [row.month, row.position] }));
  });
}

/** One return with its figures as they were filed. */
export async function readReturn(deps: Backoffice, caller: Caller, query: { readonly areaId: string; readonly returnId: string }): Promise<Outcome<FiledTaxReturn>> {
  return perform(deps, caller, 'tax-return.read', async ({ tx }) => {
    const row = await selectReturn(tx, { areaId: query.areaId, id: query.returnId });
    return row === null ? refused('not-found') : done({ ...toReturn(row), figures: await selectFigures(tx, row.id) });
  });
}

function toReturn(row: ReturnRow): TaxReturnRecord {
  const money = (minor: bigint): Money => moneyOf(minor, row.currency);
  return {
    id: row.id,
    taxAreaId: row.tax_area_id,
    month: row.month.slice(0, 7),
    position: row.position,
    kind: row.kind,
    tax: money(row.tax_minor),
    booked: money(row.booked_minor),
    taxChange: money(row.tax_minor - row.tax_before_minor),
    bookedChange: money(row.booked_minor - row.booked_before_minor),
    filedOn: row.filed_on,
    reference: row.reference,
    note: row.note,
    recordedAt: formatInstant(row.recorded_at),
    recordedBy: row.recorded_by,
    digest: row.digest.toString('hex'),
  };
}
