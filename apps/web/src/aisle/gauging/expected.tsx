import { api, type FillingForecast } from '@rundlet/contracts';
import { useApi } from '../../data/client.ts';
import { Figure, Figures } from '../../kit/kit.ts';

/** What the model expects of the cask today, with its interval: seen before the reading is booked, so it can warn. */
export function ExpectedToday({ caskId }: { caskId: string }) {
  const forecast = useApi(
    api.maturation.filling,
    { params: { id: caskId }, query: { years: 1 } },
    { staleTime: 10 * 60_000 },
  );
  const point = forecast.data && pointToday(forecast.data);
  if (!point) return null;
  const of = (q: { q05: number; q50: number; q95: number }) => ({
    value: q.q50,
    interval: [q.q05, q.q95] as const,
    origin: 'forecast' as const,
  });
  return (
    <div className="stack-tight">
      <p className="figures-title">Expected today</p>
      <Figures>
        <Figure label="Bulk" unit="L" {...of(point.bulkLitresAt20C)} />
        <Figure label="Strength" unit="% vol" {...of(point.strengthPercentVol)} />
        <Figure label="Pure alcohol" unit="LPA" {...of(point.litresPureAlcohol)} />
      </Figures>
    </div>
  );
}

function pointToday(forecast: FillingForecast): FillingForecast['points'][number] | undefined {
  const today = new Date().toISOString().slice(0, 10);
  return forecast.points.find((point) => point.on >= today) ?? forecast.points.at(-1);
}
