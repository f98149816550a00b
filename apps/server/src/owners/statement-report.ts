import type { AccountUnit, OwnedCask, OwnerForecast, OwnerStatement } from '@rundlet/contracts';
import { ACCOUNT_UNITS, CAUSE_WORDS } from '@rundlet/domain';
import { instantWords, type Cell, type Report } from '../reports/report.ts';

export interface StatementFacts {
  readonly estateName: string;
  readonly unit: AccountUnit;
  readonly statement: OwnerStatement;
  readonly forecast: OwnerForecast;
  readonly storeOf: (id: string | null) => string;
}

/** An owner's statement: each cask at filling, since the owner had it, and now by the last gauge and by the forecast. */
export function statementReport({
  estateName,
  unit,
  statement: { account, madeAt, casks, vats, period, left },
  forecast,
  storeOf,
}: StatementFacts): Report {
  const { symbol, words, of } = ACCOUNT_UNITS[unit];
  const forecasts = new Map(forecast.casks.map((c) => [c.fillingId, c.litresPureAlcohol]));
  const figure = (title: string, width = 0.075) => ({ title, decimals: 2, width });
  const sum = (part: (cask: OwnedCask) => number) =>
    of(casks.reduce((total, cask) => total + part(cask), 0));
  const sums: Cell[] = [
    sum((c) => c.atFillingLitresPureAlcohol),
    sum((c) => c.takenOverLitresPureAlcohol),
    sum((c) => c.movedLitresPureAlcohol),
    sum((c) => c.samplesLitresPureAlcohol),
    sum((c) => c.lostLitresPureAlcohol),
    sum((c) => c.nowLitresPureAlcohol),
  ];
  const { total } = forecast;
  const range = (q: { q05: number; q50: number; q95: number } | null | undefined): Cell[] =>
    q ? [of(q.q50), of(q.q05), of(q.q95)] : [null, null, null];
  return {
    title: `Statement for ${account.name}`,
    estateName,
    facts: [
      ['Account', `${account.code}, ${account.name}`],
      ['Made', instantWords(madeAt)],
      ['Unit', words],
      ['Casks', String(casks.length)],
    ],
    notes: [
      'Taken over + moved − samples − lost = by the last gauge. The forecast is of today, with its 90 % interval; the interval of the sum is not the sum of the intervals.',
      'What was disgorged left its cask for a vat and may still be the owner’s.',
      'Losses and strengths change with time and measurement. This statement is no proof of duty status or title: check with your authority and your contract.',
    ],
    tables: [
      {
        name: `Casks, ${symbol}`,
        columns: [
          { title: 'Cask', width: 0.1 },
          { title: 'Kind', width: 0.09 },
          { title: 'Store', width: 0.09 },
          { title: 'Filled', width: 0.075 },
          { title: 'Held since', width: 0.075 },
          figure('At filling'),
          figure('Taken over'),
          figure('Moved', 0.055),
          figure('Samples', 0.055),
          figure('Lost', 0.055),
          figure('By last gauge'),
          figure('Forecast', 0.06),
          figure('from', 0.055),
          figure('to', 0.055),
        ],
        rows: [
          ...casks.map((cask): Cell[] => [
            cask.caskCode,
            cask.caskKind,
            storeOf(cask.storeId),
            cask.filledAt.slice(0, 10),
            cask.heldSince.slice(0, 10),
            of(cask.atFillingLitresPureAlcohol),
            of(cask.takenOverLitresPureAlcohol),
            of(cask.movedLitresPureAlcohol),
            of(cask.samplesLitresPureAlcohol),
            of(cask.lostLitresPureAlcohol),
            of(cask.nowLitresPureAlcohol),
            ...range(forecasts.get(cask.fillingId)),
          ]),
          ...(casks.length > 0 ? [['All casks', '', '', '', '', ...sums, ...range(total)]] : []),
        ],
      },
      ...(vats.length > 0
        ? [
            {
              name: `Vats, ${symbol}`,
              columns: [
                { title: 'Vat', width: 0.2 },
                { title: 'Name', width: 0.4 },
                figure('By the book', 0.15),
              ],
              rows: vats.map((vat): Cell[] => [vat.code, vat.name, of(vat.litresPureAlcohol)]),
            },
          ]
        : []),
      ...(left.length > 0
        ? [
            {
              name: `Left from ${period.from} to ${period.to}, ${symbol}`,
              columns: [
                { title: 'On', width: 0.1 },
                { title: 'How', width: 0.15 },
                { title: 'Entry', width: 0.6 },
                figure('Left', 0.1),
              ],
              rows: left.map((line): Cell[] => [
                line.at.slice(0, 10),
                CAUSE_WORDS[line.cause],
                line.words,
                of(line.litresPureAlcohol),
              ]),
            },
          ]
        : []),
      {
        name: 'What the forecast rests on',
        columns: [{ title: '', width: 1 }],
        rows: forecast.assumptions.map((line): Cell[] => [line]),
      },
    ],
  };
}
