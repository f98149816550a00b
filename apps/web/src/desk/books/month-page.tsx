import './return.css';
import type { AccountUnit, ClosedMonth, Delivery, ReturnLine } from '@rundlet/contracts';
import { ACCOUNT_UNITS, BASE_WORDS, CAUSE_WORDS, CHECK_WITH_AUTHORITY } from '@rundlet/domain';
import { useState } from 'react';
import { useParams } from 'wouter';
import { DutyFigure } from '../../aisle/vats/duty-estimate.tsx';
import { api, useApi } from '../../data/client.ts';
import { FileButton } from '../../data/file-button.tsx';
import {
  Card,
  Empty,
  Facts,
  Figure,
  Figures,
  format,
  LinkButton,
  Loaded,
  Mark,
  Notice,
  Page,
  Table,
} from '../../kit/kit.ts';
import {
  HolderField,
  scopeOf,
  UnitField,
  useNames,
  useUnit,
  type Holder,
} from './account-fields.tsx';
import { PostingsTable } from './postings-table.tsx';
import { MONTH, monthsBack } from './return-lines.ts';
import { ReturnTable } from './return-table.tsx';

/** One month: its figures, losses against allowances, what came for closed months, deliveries with the duty they would owe. */
export default function MonthPage() {
  const { month = '' } = useParams<{ month: string }>();
  const [holder, setHolder] = useState<Holder>('');
  const [chosenUnit, setUnit] = useState<AccountUnit | null>(null);
  const unit = useUnit(chosenUnit);
  const usable = MONTH.test(month);
  const scope = scopeOf(holder);
  const query = useApi(
    api.books.months,
    { query: { from: month, to: month, ...scope } },
    { enabled: usable },
  );
  if (!usable)
    return (
      <Page title="A month of the account" narrow>
        <Empty title="That is not a month">Months are written like 2026-03.</Empty>
      </Page>
    );
  const file = { query: { from: month, to: month, unit, ...scope } };
  return (
    <Page
      title={`The account in ${month}`}
      lead="Opening + movements = closing. Every figure opens its entries."
      actions={
        <>
          <LinkButton to={`/return/${monthsBack(month, 1)}`} icon="back">
            {monthsBack(month, 1)}
          </LinkButton>
          <LinkButton to={`/return/${monthsBack(month, -1)}`}>{monthsBack(month, -1)}</LinkButton>
          <FileButton endpoint={api.books.returnPdf} input={file} label="PDF" />
          <FileButton endpoint={api.books.returnXlsx} input={file} label="XLSX" />
        </>
      }
    >
      <div className="grid not-printed">
        <HolderField value={holder} onChange={setHolder} />
        <UnitField value={unit} onChange={setUnit} />
      </div>
      <Notice tone="caution">{CHECK_WITH_AUTHORITY}</Notice>
      <Loaded query={query} what="Adding up the month">
        {({ rows, closed }) => (
          <>
            <Closed close={closed[0]} />
            {rows.length === 0 ? (
              <Empty title="Nothing was held or moved in this month" />
            ) : (
              <>
                <Totals rows={rows} unit={unit} />
                <ReturnTable rows={rows} closed={closed} by="store" unit={unit} holder={holder} />
              </>
            )}
            <Losses rows={rows} unit={unit} />
          </>
        )}
      </Loaded>
      <Late month={month} holder={holder} unit={unit} />
      <Deliveries month={month} holder={holder} unit={unit} />
    </Page>
  );
}

function Closed({ close }: { close: ClosedMonth | undefined }) {
  if (!close)
    return (
      <div>
        <Mark icon="info">this month is open</Mark>
      </div>
    );
  return (
    <div className="stack-tight">
      <div>
        <Mark tone="good" icon="lock">
          closed and locked
        </Mark>
      </div>
      <Facts
        facts={[
          ['Closed', `${format.dateTime(close.closedAt)}, by ${close.closedBy}`],
          ['Journal then', `${format.count(close.journalSeq, 'entry', 'entries')}`],
          ['Its hash', <span className="code hash">{close.journalHash}</span>],
        ]}
      />
    </div>
  );
}

function Totals({ rows, unit }: { rows: readonly ReturnLine[]; unit: AccountUnit }) {
  const { symbol, of } = ACCOUNT_UNITS[unit];
  const sum = (part: (row: ReturnLine) => number) =>
    of(rows.reduce((total, row) => total + part(row), 0));
  return (
    <Figures>
      <Figure
        label="Opening"
        value={sum((r) => r.openingLitresPureAlcohol)}
        unit={symbol}
        decimals={3}
        origin="calculated"
      />
      <Figure
        label="Closing"
        value={sum((r) => r.closingLitresPureAlcohol)}
        unit={symbol}
        decimals={3}
        origin="calculated"
      />
    </Figures>
  );
}

function Losses({ rows, unit }: { rows: readonly ReturnLine[]; unit: AccountUnit }) {
  const names = useNames();
  const { symbol, of } = ACCOUNT_UNITS[unit];
  const losses = rows.flatMap((row) =>
    row.losses.filter((loss) => loss.lossLitresPureAlcohol > 0).map((loss) => ({ row, loss })),
  );
  const figure = (title: string, value: (line: (typeof losses)[number]) => number) => ({
    key: title,
    title: `${title} ${symbol}`,
    numeric: true,
    cell: (line: (typeof losses)[number]) => format.number(of(value(line)), 3),
  });
  return (
    <Card title="Losses against allowances">
      {losses.length === 0 ? (
        <Empty title="No loss with an allowance">
          Allowances are the authority’s; they are entered under “Allowances and rates”, and none is
          assumed.
        </Empty>
      ) : (
        <div className="stack">
          <Table
            caption="Losses and what is allowed"
            rows={losses}
            rowKey={({ row, loss }) => `${row.accountId}:${row.storeId ?? ''}:${loss.rule.cause}`}
            columns={[
              {
                key: 'who',
                title: 'Account',
                cell: ({ row }) => <span className="one-line">{names.account(row.accountId)}</span>,
              },
              { key: 'store', title: 'Store', cell: ({ row }) => names.store(row.storeId) },
              {
                key: 'cause',
                title: 'Cause',
                cell: ({ loss }) => (
                  <span className="one-line">{CAUSE_WORDS[loss.rule.cause]}</span>
                ),
              },
              figure('Lost', ({ loss }) => loss.lossLitresPureAlcohol),
              figure('Allowed', ({ loss }) => loss.allowedLitresPureAlcohol),
              {
                key: 'above',
                title: `Above ${symbol}`,
                numeric: true,
                cell: ({ loss }) =>
                  loss.aboveLitresPureAlcohol > 0 ? (
                    <Mark tone="caution">{format.number(of(loss.aboveLitresPureAlcohol), 3)}</Mark>
                  ) : (
                    'none'
                  ),
              },
              {
                key: 'percent',
                title: '% of the base',
                numeric: true,
                cell: ({ loss }) =>
                  format.number(
                    loss.baseLitresPureAlcohol > 0
                      ? (100 * loss.lossLitresPureAlcohol) / loss.baseLitresPureAlcohol
                      : null,
                    3,
                  ),
              },
              {
                key: 'rule',
                title: 'Allowance',
                cell: ({ loss }) => (
                  <span className="rule-words">{`${String(loss.rule.percent)} % ${BASE_WORDS[loss.rule.of]}`}</span>
                ),
              },
            ]}
          />
          <p className="small soft">
            Losses of a month with gains taken off, by the rules in force on its first day.
            Differences that came for closed months count where they were booked.
          </p>
        </div>
      )}
    </Card>
  );
}

interface Part {
  month: string;
  holder: Holder;
  unit: AccountUnit;
}

function Late({ month, holder, unit }: Part) {
  const query = useApi(api.books.postings, {
    query: { month, ofEarlierMonths: 'true', ...scopeOf(holder) },
  });
  return (
    <Card title="Differences of closed months, counted here">
      <Loaded query={query} what="Looking for differences">
        {({ rows }) =>
          rows.length === 0 ? (
            <Empty title="None">Nothing came late for a month that was closed.</Empty>
          ) : (
            <PostingsTable caption="What came late for closed months" rows={rows} unit={unit} />
          )
        }
      </Loaded>
    </Card>
  );
}

function Deliveries({ month, holder, unit }: Part) {
  const query = useApi(api.books.deliveries, {
    query: { from: month, to: month, ...scopeOf(holder) },
  });
  return (
    <Card title="Deliveries, and the duty they would owe">
      <Loaded query={query} what="Fetching deliveries">
        {({ rows }) =>
          rows.length === 0 ? (
            <Empty title="Nothing was delivered" />
          ) : (
            <DeliveriesTable rows={rows} unit={unit} />
          )
        }
      </Loaded>
    </Card>
  );
}

function DeliveriesTable({ rows, unit }: { rows: readonly Delivery[]; unit: AccountUnit }) {
  const names = useNames();
  const { symbol, of } = ACCOUNT_UNITS[unit];
  const totals = new Map<string, number>();
  for (const { estimate } of rows)
    if (estimate)
      totals.set(estimate.currency, (totals.get(estimate.currency) ?? 0) + estimate.amount);
  return (
    <div className="stack">
      <Table
        caption="Deliveries with an estimate of duty"
        rows={rows}
        rowKey={(r) => r.entryId}
        columns={[
          { key: 'at', title: 'Delivered', cell: (r) => format.date(r.at) },
          { key: 'to', title: 'To', cell: (r) => r.to },
          { key: 'who', title: 'Account', cell: (r) => names.account(r.accountId) },
          {
            key: 'bulk',
            title: 'Bulk L',
            numeric: true,
            cell: (r) => format.number(r.bulkLitresAt20C, 1),
          },
          {
            key: 'strength',
            title: '% vol',
            numeric: true,
            cell: (r) => format.number(r.strengthPercentVol, 2),
          },
          {
            key: 'amount',
            title: symbol,
            numeric: true,
            cell: (r) => format.number(of(r.litresPureAlcohol), 3),
          },
          {
            key: 'rounded',
            title: '% vol for duty',
            numeric: true,
            cell: (r) => format.number(r.estimate?.strengthPercentVol, 1),
          },
          {
            key: 'duty',
            title: 'Duty, estimate',
            numeric: true,
            cell: (r) =>
              r.estimate
                ? `${format.number(r.estimate.amount, 2)}\u00a0${r.estimate.currency}`
                : 'no rate set',
          },
        ]}
      />
      <Figures>
        {[...totals].map(([currency, amount]) => (
          <DutyFigure key={currency} label="Duty on these" amount={amount} currency={currency} />
        ))}
      </Figures>
    </div>
  );
}
