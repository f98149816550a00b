import { useVirtualizer } from '@tanstack/react-virtual';
import { useEffect, useRef, type ReactNode } from 'react';
import './table.css';

export interface Column<R> {
  key: string;
  title: ReactNode;
  /** Figures stand at the right with equal digits. */
  numeric?: boolean;
  cell: (row: R) => ReactNode;
  /** Present where the list can be sorted by this column. */
  sort?: string;
}
export interface Sorting {
  by: string;
  direction: 'asc' | 'desc';
}

interface TableProps<R> {
  caption: string;
  columns: readonly Column<R>[];
  rows: readonly R[];
  rowKey: (row: R) => string;
  chosen?: (row: R) => boolean;
  sorting?: Sorting;
  onSort?: (sorting: Sorting) => void;
  /** Called when the last rows come into sight, to fetch the following page. */
  onEnd?: (() => void) | undefined;
}

const WHOLE_BELOW = 60;
const ROW_PX = 42;

/** A table; beyond some sixty rows only those in sight are drawn. */
export function Table<R>(props: TableProps<R>) {
  return props.rows.length <= WHOLE_BELOW && !props.onEnd ? (
    <div className="table-frame" tabIndex={0} role="region" aria-label={props.caption}>
      <table className="table">
        <Head {...props} />
        <tbody>
          {props.rows.map((row) => (
            <Row key={props.rowKey(row)} row={row} {...props} />
          ))}
        </tbody>
      </table>
    </div>
  ) : (
    <LongTable {...props} />
  );
}

function LongTable<R>(props: TableProps<R>) {
  const frame = useRef<HTMLDivElement>(null);
  const { rows, onEnd, columns } = props;
  // The virtualizer keeps its own state outside React's; the compiler is not in use here.
  const virtual = useVirtualizer({
    count: rows.length,
    getScrollElement: () => frame.current,
    estimateSize: () => ROW_PX,
    overscan: 12,
  });
  const items = virtual.getVirtualItems();
  const first = items[0];
  const last = items[items.length - 1];
  const atEnd = last !== undefined && last.index >= rows.length - 10;
  useEffect(() => {
    if (atEnd) onEnd?.();
  }, [atEnd, rows.length, onEnd]);
  return (
    <div
      className="table-frame table-frame-tall"
      ref={frame}
      tabIndex={0}
      role="region"
      aria-label={props.caption}
    >
      <table className="table" aria-rowcount={rows.length + 1}>
        <Head {...props} />
        <tbody>
          <Gap height={first?.start ?? 0} span={columns.length} />
          {items.map((item) => {
            const row = rows[item.index] as R;
            return <Row key={props.rowKey(row)} row={row} index={item.index} {...props} />;
          })}
          <Gap height={virtual.getTotalSize() - (last?.end ?? 0)} span={columns.length} />
        </tbody>
      </table>
    </div>
  );
}

function Gap({ height, span }: { height: number; span: number }) {
  if (height <= 0) return null;
  return (
    <tr className="table-gap" aria-hidden="true">
      <td colSpan={span} style={{ height }} />
    </tr>
  );
}

function Head<R>({ caption, columns, sorting, onSort }: TableProps<R>) {
  return (
    <>
      <caption className="visually-hidden">{caption}</caption>
      <thead>
        <tr>
          {columns.map((column) => {
            const by = column.sort;
            const current = by !== undefined && sorting?.by === by ? sorting.direction : undefined;
            return (
              <th
                key={column.key}
                scope="col"
                className={column.numeric ? 'number' : undefined}
                aria-sort={
                  current === 'asc' ? 'ascending' : current === 'desc' ? 'descending' : undefined
                }
              >
                {by !== undefined && onSort ? (
                  <button
                    className="table-sort"
                    type="button"
                    onClick={() => {
                      onSort({ by, direction: current === 'asc' ? 'desc' : 'asc' });
                    }}
                  >
                    {column.title} {current === 'asc' ? '▲' : current === 'desc' ? '▼' : '↕'}
                  </button>
                ) : (
                  column.title
                )}
              </th>
            );
          })}
        </tr>
      </thead>
    </>
  );
}

function Row<R>({ row, index, columns, chosen }: TableProps<R> & { row: R; index?: number }) {
  return (
    <tr data-chosen={chosen?.(row)} aria-rowindex={index === undefined ? undefined : index + 2}>
      {columns.map((column) => (
        <td key={column.key} className={column.numeric ? 'number' : undefined}>
          {column.cell(row)}
        </td>
      ))}
    </tr>
  );
}
