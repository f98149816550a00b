import './return.css';
import type { AccountUnit, ClosedMonth, ReturnLine } from '@rundlet/contracts';
import { ACCOUNT_UNITS, CAUSE_WORDS } from '@rundlet/domain';
import { useState } from 'react';
import { Link } from 'wouter';
import { format, Icon, Table } from '../../kit/kit.ts';
import { scopeOf, useNames, type Holder } from './account-fields.tsx';
import { PostingsDialog, type ChosenFigure } from './postings-dialog.tsx';
import { causesIn, together, type Grouping, type Together } from './return-lines.ts';

/** The return as a table; each figure opens the entries behind it. */
export function ReturnTable({
  rows,
  closed,
  by,
  unit,
  holder,
  storeId = '',
}: {
  rows: readonly ReturnLine[];
  closed: readonly ClosedMonth[];
  by: Grouping;
  unit: AccountUnit;
  holder: Holder;
  storeId?: string;
}) {
  const names = useNames();
  const [chosen, setChosen] = useState<ChosenFigure | null>(null);
  const { symbol, of } = ACCOUNT_UNITS[unit];
  const causes = causesIn(rows);
  const lines = together(rows, by, names);
  const locked = new Set(closed.map((close) => close.month));
  const figure = (key: string, title: string, value: (line: Together) => number) => ({
    key,
    title,
    numeric: true,
    cell: (line: Together) => format.number(of(value(line)), 2),
  });
  const unlessZero = (value: number) => (value === 0 ? '' : format.signed(of(value), 2));
  return (
    <>
      <Table
        caption={`The return in ${ACCOUNT_UNITS[unit].words}`}
        rows={lines}
        rowKey={(line) => line.key}
        columns={[
          {
            key: 'month',
            title: 'Month',
            cell: (line) => (
              <Link href={`/return/${line.month}`} className="month-link">
                {line.month.replace('-', '\u2011')}
                {locked.has(line.month) && (
                  <>
                    <Icon name="lock" />
                    <span className="visually-hidden">closed</span>
                  </>
                )}
              </Link>
            ),
          },
          ...(by === 'month'
            ? []
            : [
                {
                  key: 'who',
                  title: 'Account',
                  cell: (line: Together) => <span className="one-line">{line.who}</span>,
                },
              ]),
          ...(by === 'store'
            ? [{ key: 'store', title: 'Store', cell: (line: Together) => line.store }]
            : []),
          figure('opening', `Opening ${symbol}`, (line) => line.opening),
          // Beside the opening, where it is in sight however many causes follow.
          figure('closing', `Closing ${symbol}`, (line) => line.closing),
          ...(lines.some((line) => line.ofEarlierMonths !== 0)
            ? [
                {
                  key: 'late',
                  title: 'Of closed months',
                  numeric: true,
                  cell: (line: Together) => unlessZero(line.ofEarlierMonths),
                },
              ]
            : []),
          ...(lines.some((line) => line.aboveAllowance > 0)
            ? [
                {
                  key: 'above',
                  title: 'Lost above allowance',
                  numeric: true,
                  cell: (line: Together) =>
                    line.aboveAllowance === 0 ? '' : format.number(of(line.aboveAllowance), 2),
                },
              ]
            : []),
          ...causes.map((cause) => ({
            key: cause,
            title: CAUSE_WORDS[cause],
            numeric: true,
            cell: (line: Together) => {
              const moved = line.movements.get(cause);
              if (moved === undefined) return '';
              return (
                <button
                  type="button"
                  className="link-button"
                  onClick={() => {
                    setChosen({
                      month: line.month,
                      cause,
                      scope: {
                        ...scopeOf(holder, storeId),
                        ...(by === 'kind'
                          ? scopeOf(line.who === 'own stock' ? 'own' : 'customer')
                          : {}),
                        ...(line.accountId === null ? {} : { accountId: line.accountId }),
                        ...(line.storeId === null ? {} : { storeId: line.storeId }),
                      },
                    });
                  }}
                >
                  {format.signed(of(moved), 2)}
                </button>
              );
            },
          })),
        ]}
      />
      {chosen && (
        <PostingsDialog
          figure={chosen}
          unit={unit}
          onClose={() => {
            setChosen(null);
          }}
        />
      )}
    </>
  );
}
