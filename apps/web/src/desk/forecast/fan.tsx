import type { FillingForecast, StockForecast } from '@rundlet/contracts';
import { format } from '../../kit/kit.ts';
import type { Mark, Reading } from '../plot/plot-marks.ts';
import { TimePlot } from '../plot/time-plot.tsx';

type Point = StockForecast['points'][number];
export type Quantity = 'bulkLitresAt20C' | 'strengthPercentVol' | 'litresPureAlcohol';

export const QUANTITIES: Record<Quantity, { title: string; unit: string; decimals: number }> = {
  bulkLitresAt20C: { title: 'Bulk at 20 °C', unit: 'L', decimals: 1 },
  strengthPercentVol: { title: 'Strength at 20 °C', unit: '% vol', decimals: 2 },
  litresPureAlcohol: { title: 'Pure alcohol', unit: 'LPA', decimals: 2 },
};

const CURVES = [
  ['q05', '5 %', 'edge'],
  ['q10', '10 %', 'edge'],
  ['q50', 'median', 'main'],
  ['q90', '90 %', 'edge'],
  ['q95', '95 %', 'edge'],
] as const;

/** A forecast as a fan: the median, the 80 % and the 90 % interval, with what was measured on top. */
export function Fan({
  quantity,
  points,
  measured = [],
  stood = [],
  marks,
  level,
}: {
  quantity: Quantity;
  points: readonly Point[];
  measured?: FillingForecast['measured'];
  /** What had been forecast for each gauge before it was taken. */
  stood?: FillingForecast['stood'];
  marks?: readonly Mark[];
  level?: { value: number; label: string } | undefined;
}) {
  const { title, unit, decimals } = QUANTITIES[quantity];
  const last = points.at(-1);
  const readings: Reading[] = measured.map((m) => ({
    atMs: Date.parse(m.on),
    value: m[quantity],
    uncertainty:
      quantity === 'strengthPercentVol'
        ? m.uPercentVol
        : quantity === 'bulkLitresAt20C'
          ? m.uLitres
          : uncertaintyOfAlcohol(m),
    doubted: m.verdict === 'possible-blunder' || m.verdict === 'dismissed',
  }));
  return (
    <TimePlot
      title={title}
      unit={unit}
      decimals={decimals}
      at={points.map((p) => Date.parse(p.on))}
      curves={CURVES.map(([key, label, weight]) => ({
        label,
        weight,
        values: points.map((p) => p[quantity][key]),
      }))}
      bands={[
        { lower: 0, upper: 4, wash: 'wide' },
        { lower: 1, upper: 3, wash: 'narrow' },
      ]}
      readings={readings}
      stood={stood.map(({ on, expected }) => ({
        atMs: Date.parse(on),
        value: expected[quantity],
        low: expected.low90[quantity],
        high: expected.high90[quantity],
      }))}
      {...(marks ? { marks } : {})}
      level={level}
      summary={
        last
          ? `On ${last.on}: median ${format.number(last[quantity].q50, decimals)} ${unit}, 90 % between ${format.number(last[quantity].q05, decimals)} and ${format.number(last[quantity].q95, decimals)} ${unit}. ${String(readings.length)} measured points.`
          : 'No points.'
      }
    />
  );
}

/** First-order, volume and strength taken as independent. */
function uncertaintyOfAlcohol(m: FillingForecast['measured'][number]): number {
  return Math.hypot(
    (m.uLitres * m.strengthPercentVol) / 100,
    (m.uPercentVol * m.bulkLitresAt20C) / 100,
  );
}
