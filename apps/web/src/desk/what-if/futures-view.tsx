import type { WhatIfAnswer } from '@rundlet/contracts';
import { useState } from 'react';
import { Card, format, Table, type Column } from '../../kit/kit.ts';
import { QUANTITIES, type Quantity } from '../forecast/fan.tsx';
import { QuantityField } from '../forecast/quantity-field.tsx';
import { TimePlot } from '../plot/time-plot.tsx';
import { yearsOn, type Wishes } from './wishes.ts';

type Future = WhatIfAnswer['futures'][number];
type Point = Future['points'][number];
interface Row {
  name: string;
  point: Point;
  /** Litres of pure alcohol more than as things are; null in that row itself. */
  difference: number | null;
}

/** How lines are told apart without colour, and the word for it. */
const DASHES: readonly { dash: number[] | null; word: string }[] = [
  { dash: null, word: '' },
  { dash: [9, 5], word: ', dashed' },
  { dash: [3, 4], word: ', dotted' },
];

/** The futures in one picture and side by side on the day of comparison. */
export function FuturesView({ answer, wishes }: { answer: WhatIfAnswer; wishes: Wishes }) {
  const [quantity, setQuantity] = useState<Quantity>('litresPureAlcohol');
  const { unit, decimals, title } = QUANTITIES[quantity];
  const first = answer.futures[0];
  if (!first) return null;
  const rows = rowsOf(answer.futures, wishes);
  return (
    <div className="stack">
      <QuantityField value={quantity} onChange={setQuantity} />
      <Card>
        <TimePlot
          title={title}
          unit={unit}
          decimals={decimals}
          at={first.points.map((p) => Date.parse(p.on))}
          curves={[
            ...(['q05', 'q95'] as const).map((q) => ({
              label: q === 'q05' ? 'as is, 5 %' : 'as is, 95 %',
              weight: 'edge' as const,
              values: first.points.map((p) => p[quantity][q]),
            })),
            ...answer.futures.map((future, i) => {
              const { dash, word } = DASHES[i] ?? { dash: [12, 4, 3, 4], word: ', dash and dot' };
              return {
                label: future.name + word,
                weight: i === 0 ? ('main' as const) : ('soft' as const),
                values: future.points.map((p) => p[quantity].q50),
                ...(dash ? { dash } : {}),
              };
            }),
          ]}
          bands={[{ lower: 0, upper: 1, wash: 'wide' }]}
          marks={[
            { atMs: Date.parse(wishes.changeOn), word: 'changed' },
            { atMs: Date.parse(wishes.compareOn), word: 'compared' },
          ]}
          summary={rows
            .map(
              (r) =>
                `${r.name}: ${format.number(r.point[quantity].q50, decimals)} ${unit} on ${r.point.on}`,
            )
            .join('; ')}
        />
      </Card>
      <Table
        caption="Side by side: medians, 90 % intervals in brackets"
        rows={rows}
        rowKey={(r) => r.name}
        columns={columnsOf(wishes.worthPerLitre)}
      />
      <p className="field-hint">
        Differences are between medians. The futures share the doubt about what is in the wood
        today, so their intervals overlap by more than the difference between them is in doubt.
      </p>
    </div>
  );
}

function rowsOf(futures: readonly Future[], wishes: Wishes): Row[] {
  const asIs = futures[0];
  const base = asIs && pointOn(asIs, wishes.compareOn);
  if (!base) return [];
  const row = (name: string, point: Point | undefined, isBase = false): Row[] =>
    point
      ? [
          {
            name,
            point,
            difference: isBase ? null : point.litresPureAlcohol.q50 - base.litresPureAlcohol.q50,
          },
        ]
      : [];
  return [
    ...row(asIs.name, base, true),
    ...(wishes.longerYears
      ? row(
          `held ${format.years(wishes.longerYears, 0)} longer`,
          pointOn(asIs, yearsOn(wishes.compareOn, wishes.longerYears)),
        )
      : []),
    ...futures.slice(1).flatMap((future) => row(future.name, pointOn(future, wishes.compareOn))),
  ];
}

/** The forecast is monthly: the last point not after the day. */
const pointOn = ({ points }: Future, day: string): Point | undefined =>
  points.findLast((p) => p.on <= day);

function columnsOf(worth: number | null): Column<Row>[] {
  const figure = (quantity: Quantity): Column<Row> => {
    const { unit, decimals } = QUANTITIES[quantity];
    return {
      key: quantity,
      title: unit === '% vol' ? unit : `${unit === 'L' ? 'Bulk, L' : 'LPA'}`,
      numeric: true,
      cell: ({ point }) => {
        const q = point[quantity];
        return `${format.number(q.q50, decimals)} (${format.number(q.q05, decimals)} to ${format.number(q.q95, decimals)})`;
      },
    };
  };
  return [
    { key: 'name', title: 'Future', cell: (r) => r.name },
    { key: 'on', title: 'On', cell: (r) => format.date(r.point.on) },
    figure('bulkLitresAt20C'),
    figure('strengthPercentVol'),
    figure('litresPureAlcohol'),
    {
      key: 'difference',
      title: 'Difference, LPA',
      numeric: true,
      cell: (r) => (r.difference === null ? '–' : format.signed(r.difference, 2)),
    },
    ...(worth === null
      ? []
      : [
          {
            key: 'worth',
            title: 'Worth of the difference',
            numeric: true,
            cell: (r: Row) =>
              r.difference === null ? '–' : format.signed(r.difference * worth, 0),
          },
        ]),
  ];
}
