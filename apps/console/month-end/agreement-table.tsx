import { createColumnHelper, createSortedRowModel, rowSortingFeature, tableFeatures, useTable, type Header } from '@tanstack/react-table';
import { useWindowVirtualizer } from '@tanstack/react-virtual';
import { useLayoutEffect, useRef, useState } from 'react';
import { Link } from 'react-router';
import type { AgreementRow } from '../api/shapes';
import { locale } from '../format/locale';
import { compareMoney, formatMoney, isZero, type Money } from '../format/money';
import { Amount } from '../parts/amount';
import { StateMark } from '../parts/state-mark';
import { InEnglish } from '../parts/trouble';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { Change } from './change';
import { UntoldBoxes } from './later';
import { sayFailure } from './failure';
import { failureReader } from './failure-reader';
import { changeOf, compareStates, isHeldBack } from './list';
import { RowCommand } from './row-command';
import { WaysOn } from './ways-on';
import styles from './month-end.module.css';

const features = tableFeatures({ rowSortingFeature, sortedRowModel: createSortedRowModel() });
const column = createColumnHelper<typeof features, AgreementRow>();

/** A figure's place in the order; undefined sorts last whichever way the column is sorted. */
const figure = (money: Money | null) => money ?? undefined;
const byFigure = { sortUndefined: 'last', sortDescFirst: true } as const;

const columns = column.columns([
  column.accessor('siteCode', { id: 'site', header: words.site, sortFn: (one, other) => order(one.original.siteCode, other.original.siteCode) }),
  column.accessor('state', { id: 'state', header: words.state, sortFn: (one, other) => compareStates(one.original.state, other.original.state) }),
  ...(['takings', 'siteShare', 'payable'] as const).map((name) =>
    column.accessor((row) => figure(row[name]), { id: name, header: words.monthEnd[name], sortFn: (one, other) => sizes(one.original[name], other.original[name]), ...byFigure }),
  ),
  column.accessor((row) => size(changeOf(row)), { id: 'change', header: words.monthEnd.change, sortFn: (one, other) => (size(changeOf(one.original)) ?? 0) - (size(changeOf(other.original)) ?? 0), ...byFigure }),
]);

const figureColumns: readonly string[] = ['takings', 'siteShare', 'payable', 'change'];

interface AgreementTableProps {
  readonly rows: readonly AgreementRow[];
  readonly caption: string;
  /** The period still goes on. */
  readonly early: boolean;
  /** Agreements whose change stands out. */
  readonly unusual: ReadonlySet<string>;
}

/** Rows that the reader could not see are not in the page when there are many of them. */
const virtualFrom = 150;

export function AgreementTable({ rows, caption, early, unusual }: AgreementTableProps) {
  const table = useTable({
    features, columns, data: rows,
    // As they come, until somebody asks for another order: by site, after the drafts that are unusual.
    enableSortingRemoval: false,
  });
  const sorted = table.getRowModel().rows;
  const frame = useRef<HTMLTableElement>(null);
  const [top, setTop] = useState(0);
  // After every render: what stands above the table comes and goes.
  useLayoutEffect(() => setTop((frame.current?.getBoundingClientRect().top ?? 0) + window.scrollY));
  const virtualizer = useWindowVirtualizer({
    count: sorted.length,
    estimateSize: () => 56,
    overscan: sorted.length < virtualFrom ? sorted.length : 12,
    scrollMargin: top,
    getItemKey: (index) => sorted[index]?.original.agreementId ?? index,
  });
  const visible = virtualizer.getVirtualItems();
  const before = (visible[0]?.start ?? top) - top;
  const after = virtualizer.getTotalSize() - ((visible.at(-1)?.end ?? top) - top);
  return (
    <table ref={frame} className={styles.list} aria-rowcount={sorted.length + 1}>
      <caption className="visually-hidden">{words.monthEnd.tableCaption(caption)}</caption>
      <thead>
        {table.getHeaderGroups().map((group) => (
          <tr key={group.id} aria-rowindex={1}>
            {group.headers.map((header) => (
              <SortableHeader key={header.id} header={header} />
            ))}
            <td>
              <span className="visually-hidden">{words.monthEnd.todo}</span>
            </td>
          </tr>
        ))}
      </thead>
      <tbody>
        <Spacer height={before} />
        {visible.map(({ index, key }) => {
          const row = sorted[index];
          return row === undefined ? null : (
            <tr key={key} ref={virtualizer.measureElement} data-index={index} aria-rowindex={index + 2}>
              <Cells row={row.original} early={early} unusual={unusual.has(row.original.agreementId)} />
            </tr>
          );
        })}
        <Spacer height={after} />
      </tbody>
    </table>
  );
}

function SortableHeader({ header }: { readonly header: Header<typeof features, AgreementRow> }) {
  const { id } = header.column;
  const direction = header.column.getIsSorted();
  const text = String(header.column.columnDef.header);
  return (
    <th
      scope="col"
      className={`${styles[id] ?? ''} ${figureColumns.includes(id) ? 'figure' : ''}`}
      aria-sort={direction === false ? 'none' : direction === 'asc' ? 'ascending' : 'descending'}
    >
      <button type="button" className={styles.sort} onClick={() => header.column.toggleSorting()}>
        {text}
        <svg viewBox="0 0 10 14" aria-hidden="true" focusable="false">
          <path d="M2 5.5 5 2l3 3.5z" className={direction === 'asc' ? styles.on : styles.off} />
          <path d="M2 8.5 5 12l3-3.5z" className={direction === 'desc' ? styles.on : styles.off} />
        </svg>
      </button>
    </th>
  );
}

interface CellsProps {
  readonly row: AgreementRow;
  readonly early: boolean;
  readonly unusual: boolean;
}

function Cells({ row, early, unusual }: CellsProps) {
  const { to } = useOperator();
  const figures = [['takings', row.takings], ['siteShare', row.siteShare], ['payable', row.payable]] as const;
  return (
    <>
      <th scope="row" className={styles.site}>
        <Link to={to(row.settlementId === null ? `sites/${row.siteId}` : `settlements/${row.settlementId}`)}>{row.siteName}</Link>{' '}
        <span className="code small">{row.siteCode}</span>
        <span className={styles.narrowOnly}>
          <StateMark state={row.state} early={early} />
        </span>
      </th>
      <td className={styles.state}>
        <StateMark state={row.state} early={early} />
        {row.heldBecause === null ? null : <div className="small soft">{words.monthEnd.held(row.heldBecause)}</div>}
        {row.payment === null ? null : <Payment payment={row.payment} />}
        {isHeldBack(row) ? <div className="small soft">{words.monthEnd.beingCounted}</div> : null}
        {row.failure === null || row.heldBecause !== null ? null : <Failure row={row} failure={row.failure} />}
        {row.reversedId === null ? null : (
          <Link to={to(`settlements/${row.reversedId}`)} className="small">
            {words.monthEnd.reversed}
          </Link>
        )}
      </td>
      {figures.map(([name, money]) => (
        <td key={name} className={`figure ${styles[name] ?? ''}`}>
          {money === null ? <NoFigure /> : <Amount money={money} />}
          {name === 'payable' ? (
            <span className={styles.narrowOnly}>
              <Change row={row} unusual={unusual} />
            </span>
          ) : null}
        </td>
      ))}
      <td className={`figure ${styles.change ?? ''}`}>
        <Change row={row} unusual={unusual} />
      </td>
      <td className={styles.todo}>
        <RowCommand row={row} />
      </td>
    </>
  );
}

/** How far the statement is paid, and who still owes what. */
function Payment({ payment: { state, toPay, toReceive } }: { readonly payment: NonNullable<AgreementRow['payment']> }) {
  const open = [isZero(toPay) ? null : words.monthEnd.toPay(formatMoney(toPay, locale)), isZero(toReceive) ? null : words.monthEnd.toBeReceived(formatMoney(toReceive, locale))];
  return <div className="small soft">{[words.monthEnd.payment[state], ...open].filter((each) => each !== null).join(', ')}</div>;
}

/** What could not be done, with the way to what stands in the way. */
function Failure({ row, failure }: { readonly row: AgreementRow; readonly failure: NonNullable<AgreementRow['failure']> }) {
  const { own, inEnglish } = sayFailure(failure, failureReader);
  if (failure.untoldBoxes.length > 0) {
    return (
      <div className="small soft">
        <UntoldBoxes boxes={failure.untoldBoxes} />
      </div>
    );
  }
  return (
    <div className="small soft">
      {own}
      <WaysOn failure={{ ...row, ...failure }} about={row.siteName} />
      <InEnglish sentences={inEnglish} />
    </div>
  );
}

function NoFigure() {
  return (
    <>
      <span aria-hidden="true" className="soft">
        –
      </span>
      <span className="visually-hidden">{words.monthEnd.noFigure}</span>
    </>
  );
}

/** Stands for the rows above or below the window; readers of the table never meet it. */
function Spacer({ height }: { readonly height: number }) {
  if (height <= 0) return null;
  return (
    <tr aria-hidden="true" className={styles.spacer}>
      <td colSpan={columns.length + 1} style={{ height }} />
    </tr>
  );
}

function order(one: string, other: string): number {
  return one.localeCompare(other, undefined, { numeric: true });
}

function sizes(one: Money | null, other: Money | null): number {
  return one === null || other === null ? 0 : compareMoney(one, other);
}

/** Large changes are looked for, up or down. */
function size(change: number | null): number | undefined {
  return change === null ? undefined : Math.abs(change);
}
