import type { Crossing } from '@rundlet/contracts';
import { Card, format, NumberField } from '../../kit/kit.ts';
import { TimePlot } from '../plot/time-plot.tsx';

/** When a strength floor or a least volume is crossed: the chance of it by each day. */
export function CrossingCard({
  floor,
  leastVolume,
  leastLitres,
  onLeastLitres,
}: {
  floor: Crossing;
  leastVolume: Crossing | null;
  leastLitres: number | null;
  onLeastLitres: (litres: number | null) => void;
}) {
  const at = floor.byDate.map((p) => Date.parse(p.on));
  // A picture of nothing but noughts says less than the sentence.
  const happens = [floor, ...(leastVolume ? [leastVolume] : [])].some((c) => c.never < 0.98);
  return (
    <Card title="When a floor is crossed">
      <div className="stack">
        <div className="grid">
          <NumberField
            label="Least volume worth keeping"
            unit="L"
            value={leastLitres}
            onChange={onLeastLitres}
            hint="Empty: only the strength is looked at."
            error={leastLitres !== null && leastLitres < 0 ? 'must not be negative' : undefined}
          />
        </div>
        {happens && (
          <TimePlot
            title="Chance of having crossed it"
            unit="%"
            decimals={0}
            height={200}
            at={at}
            curves={[
              {
                label: `below ${format.strength(floor.threshold)}`,
                weight: 'main',
                values: floor.byDate.map((p) => 100 * p.probability),
              },
              ...(leastVolume
                ? [
                    {
                      label: `below ${format.litres(leastVolume.threshold)}`,
                      weight: 'soft' as const,
                      dash: [9, 5],
                      values: leastVolume.byDate.map((p) => 100 * p.probability),
                    },
                  ]
                : []),
            ]}
            summary={[floor, ...(leastVolume ? [leastVolume] : [])].map(words).join(' ')}
          />
        )}
        {[floor, ...(leastVolume ? [leastVolume] : [])].map((c) => (
          <p key={c.unit}>{words(c)}</p>
        ))}
      </div>
    </Card>
  );
}

function words({ threshold, unit, q10, q50, q90, never }: Crossing): string {
  const what = `Below ${format.number(threshold, 1)} ${unit}`;
  const chance = `chance that it does not come to that in this time: ${format.percent(never, 0)}`;
  if (!q10) return `${what}: hardly; ${chance}.`;
  return `${what}: 10 % by ${format.date(q10)}, 50 % ${q50 ? `by ${format.date(q50)}` : 'later'}, 90 % ${q90 ? `by ${format.date(q90)}` : 'later'}; ${chance}.`;
}
