import type {
  AccountUnit,
  ClosedMonth,
  Delivery,
  PostingView,
  ReturnLine,
} from '@rundlet/contracts';
import { POSTING_CAUSES } from '@rundlet/contracts';
import { ACCOUNT_UNITS, BASE_WORDS, CAUSE_WORDS, CHECK_WITH_AUTHORITY } from '@rundlet/domain';
import { instantWords, type Cell, type Report, type ReportTable } from '../reports/report.ts';

export interface ReturnFacts {
  readonly estateName: string;
  readonly from: string;
  readonly to: string;
  readonly scope: string;
  readonly unit: AccountUnit;
  readonly rows: readonly ReturnLine[];
  readonly closed: readonly ClosedMonth[];
  readonly late: readonly PostingView[];
  readonly deliveries: readonly Delivery[];
  readonly accountOf: (id: string) => string;
  readonly storeOf: (id: string | null) => string;
  readonly madeAt: string;
}

const DECIMALS = 3;

/** A row for each month, account and store, a column for each cause: for spreadsheets. */
export function returnTable({ rows, unit, accountOf, storeOf }: ReturnFacts): ReportTable {
  const { symbol, of } = ACCOUNT_UNITS[unit];
  const causes = POSTING_CAUSES.filter((cause) =>
    rows.some((row) => row.movements.some((m) => m.cause === cause)),
  );
  const figure = (title: string) => ({
    title: `${title}, ${symbol}`,
    decimals: DECIMALS,
    width: 0.14,
  });
  return {
    name: 'Return',
    columns: [
      { title: 'Month', width: 0.1 },
      { title: 'Account', width: 0.22 },
      { title: 'Store', width: 0.16 },
      figure('Opening'),
      ...causes.map((cause) => figure(CAUSE_WORDS[cause])),
      figure('Closing'),
      figure('Of earlier months'),
      figure('Losses above the allowance'),
    ],
    rows: rows.map((row) => {
      const sum = <T>(list: readonly T[], part: (item: T) => number) =>
        of(list.reduce((total, item) => total + part(item), 0));
      return [
        row.month,
        accountOf(row.accountId),
        storeOf(row.storeId),
        of(row.openingLitresPureAlcohol),
        ...causes.map((cause) =>
          sum(
            row.movements.filter((m) => m.cause === cause),
            (m) => m.litresPureAlcohol,
          ),
        ),
        of(row.closingLitresPureAlcohol),
        sum(row.movements, (m) => m.ofEarlierMonthsLitresPureAlcohol),
        sum(row.losses, (loss) => loss.aboveLitresPureAlcohol),
      ];
    }),
  };
}

/** The whole return: for paper line by line, for spreadsheets with a column for each cause. */
export function returnReport(facts: ReturnFacts, form: 'lines' | 'columns'): Report {
  const { unit, from, to } = facts;
  const { words } = ACCOUNT_UNITS[unit];
  return {
    title: `Alcohol account, ${from === to ? from : `${from} to ${to}`}`,
    estateName: facts.estateName,
    facts: [
      ['Whose and where', facts.scope],
      ['Unit', words],
      ['Made', instantWords(facts.madeAt)],
    ],
    notes: [
      CHECK_WITH_AUTHORITY,
      'Opening + movements = closing. What happened in a month that was closed when it came counts in the first open month.',
    ],
    tables: [
      form === 'lines' ? linesTable(facts) : returnTable(facts),
      lossesTable(facts),
      lateTable(facts),
      deliveriesTable(facts),
      closesTable(facts),
    ],
  };
}

function linesTable({ rows, unit, accountOf, storeOf }: ReturnFacts): ReportTable {
  const { symbol, of } = ACCOUNT_UNITS[unit];
  const figure = (title: string) => ({ title, decimals: DECIMALS, width: 0.14 });
  return {
    name: 'Return',
    columns: [
      { title: 'Month', width: 0.08 },
      { title: 'Account', width: 0.2 },
      { title: 'Store', width: 0.14 },
      { title: 'Line', width: 0.2 },
      figure(symbol),
      figure('Of it, of earlier months'),
    ],
    rows: rows.flatMap((row): Cell[][] => [
      [
        row.month,
        accountOf(row.accountId),
        storeOf(row.storeId),
        'Opening',
        of(row.openingLitresPureAlcohol),
        null,
      ],
      ...row.movements.map((m): Cell[] => [
        '',
        '',
        '',
        CAUSE_WORDS[m.cause],
        of(m.litresPureAlcohol),
        m.ofEarlierMonthsLitresPureAlcohol === 0 ? null : of(m.ofEarlierMonthsLitresPureAlcohol),
      ]),
      ['', '', '', 'Closing', of(row.closingLitresPureAlcohol), null],
    ]),
  };
}

function lossesTable({ rows, unit, accountOf, storeOf }: ReturnFacts): ReportTable {
  const { symbol, of } = ACCOUNT_UNITS[unit];
  const figure = (title: string) => ({
    title: `${title}, ${symbol}`,
    decimals: DECIMALS,
    width: 0.1,
  });
  return {
    name: 'Losses and allowances',
    columns: [
      { title: 'Month', width: 0.07 },
      { title: 'Account', width: 0.15 },
      { title: 'Store', width: 0.1 },
      { title: 'Cause', width: 0.13 },
      { title: 'Allowance', width: 0.25 },
      figure('Lost'),
      figure('Allowed'),
      figure('Above'),
    ],
    rows: rows.flatMap((row) =>
      row.losses
        .filter((loss) => loss.lossLitresPureAlcohol > 0)
        .map((loss) => [
          row.month,
          accountOf(row.accountId),
          storeOf(row.storeId),
          CAUSE_WORDS[loss.rule.cause],
          `${String(loss.rule.percent)} % ${BASE_WORDS[loss.rule.of]}`,
          of(loss.lossLitresPureAlcohol),
          of(loss.allowedLitresPureAlcohol),
          of(loss.aboveLitresPureAlcohol),
        ]),
    ),
  };
}

function lateTable({ late, unit, accountOf }: ReturnFacts): ReportTable {
  const { symbol, of } = ACCOUNT_UNITS[unit];
  return {
    name: 'Differences of closed months',
    columns: [
      { title: 'Counts in', width: 0.08 },
      { title: 'Happened', width: 0.1 },
      { title: 'Account', width: 0.16 },
      { title: 'Vessel', width: 0.1 },
      { title: 'Cause', width: 0.12 },
      { title: symbol, decimals: DECIMALS, width: 0.1 },
      { title: 'Entry', width: 0.34 },
    ],
    rows: late.map((line) => [
      line.month,
      line.at.slice(0, 10),
      accountOf(line.accountId),
      line.vesselCode,
      CAUSE_WORDS[line.cause],
      of(line.litresPureAlcohol),
      line.words,
    ]),
  };
}

function deliveriesTable({ deliveries, unit, accountOf }: ReturnFacts): ReportTable {
  const { symbol, of } = ACCOUNT_UNITS[unit];
  return {
    name: 'Deliveries and duty, estimate',
    columns: [
      { title: 'Day', width: 0.1 },
      { title: 'Account', width: 0.18 },
      { title: 'To', width: 0.2 },
      { title: 'Bulk, L at 20 °C', decimals: 1, width: 0.1 },
      { title: 'Strength, % vol', decimals: 2, width: 0.1 },
      { title: symbol, decimals: DECIMALS, width: 0.1 },
      { title: 'Strength for duty', decimals: 1, width: 0.08 },
      { title: 'Duty, estimate', decimals: 2, width: 0.09 },
      { title: '', width: 0.05 },
    ],
    rows: deliveries.map((d) => [
      d.at.slice(0, 10),
      accountOf(d.accountId),
      d.to,
      d.bulkLitresAt20C,
      d.strengthPercentVol,
      of(d.litresPureAlcohol),
      d.estimate?.strengthPercentVol ?? null,
      d.estimate?.amount ?? null,
      d.estimate?.currency ?? 'no rate',
    ]),
  };
}

function closesTable({ closed }: ReturnFacts): ReportTable {
  return {
    name: 'Months closed',
    columns: [
      { title: 'Month', width: 0.08 },
      { title: 'Closed', width: 0.16 },
      { title: 'By', width: 0.2 },
      { title: 'After entry', decimals: 0, width: 0.08 },
      { title: 'Journal’s hash then', width: 0.48 },
    ],
    rows: closed.map((close) => [
      close.month,
      instantWords(close.closedAt),
      close.closedBy,
      close.journalSeq,
      close.journalHash,
    ]),
  };
}
