import type { ClimateView } from '@rundlet/contracts';
import { Card, format } from '../../kit/kit.ts';
import { TimePlot } from '../plot/time-plot.tsx';

const DAY_MS = 86_400_000;

/** Temperature with each day's span, and humidity; days without readings break the line. */
export function ClimatePictures({ climate }: { climate: ClimateView }) {
  const byDay = new Map(climate.days.map((d) => [Date.parse(d.on), d]));
  const first = Math.min(...byDay.keys());
  const last = Math.max(...byDay.keys());
  const at = Array.from(
    { length: Math.round((last - first) / DAY_MS) + 1 },
    (_, i) => first + i * DAY_MS,
  );
  const series = (of: (day: ClimateView['days'][number]) => number) =>
    at.map((ms) => {
      const day = byDay.get(ms);
      return day ? of(day) : null;
    });
  const mean = (values: readonly number[]) => values.reduce((s, v) => s + v, 0) / values.length;
  const missing = at.length - byDay.size;
  return (
    <div className="stack">
      <Card>
        <TimePlot
          title="Temperature, daily mean and span"
          unit="°C"
          decimals={1}
          at={at}
          curves={[
            { label: 'lowest', weight: 'edge', values: series((d) => d.minC) },
            { label: 'mean', weight: 'main', values: series((d) => d.meanC) },
            { label: 'highest', weight: 'edge', values: series((d) => d.maxC) },
          ]}
          bands={[{ lower: 0, upper: 2, wash: 'wide' }]}
          height={240}
          summary={`Mean ${format.number(mean(climate.days.map((d) => d.meanC)), 1)} °C over ${String(byDay.size)} days; ${String(missing)} days without readings.`}
        />
      </Card>
      <Card>
        <TimePlot
          title="Relative humidity, daily mean weighted by vapour"
          unit="%"
          decimals={0}
          at={at}
          curves={[
            { label: 'mean', weight: 'main', values: series((d) => d.relativeHumidityPercent) },
          ]}
          height={200}
          summary={`Mean ${format.number(mean(climate.days.map((d) => d.relativeHumidityPercent)), 0)} % relative humidity.`}
        />
      </Card>
    </div>
  );
}
