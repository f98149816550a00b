import type { FillingForecast } from '@rundlet/contracts';
import { useMemo, useState } from 'react';
import { Link, useParams } from 'wouter';
import { api, useApi } from '../../data/client.ts';
import {
  Card,
  Facts,
  Figure,
  Figures,
  format,
  LinkButton,
  Loaded,
  Page,
  Table,
} from '../../kit/kit.ts';
import type { Mark } from '../plot/plot-marks.ts';
import { Assumptions } from './assumptions.tsx';
import { CrossingCard } from './crossing-card.tsx';
import { Fan, QUANTITIES, type Quantity } from './fan.tsx';
import { HorizonFields, isUsable, type Horizon } from './horizon-fields.tsx';
import { QuantityField } from './quantity-field.tsx';

/** What a cask has done and will do: the fan, the floor, the loss by cause, and how good earlier forecasts were. */
export default function CaskForecastPage() {
  const { id = '' } = useParams<{ id: string }>();
  const [horizon, setHorizon] = useState<Horizon>({ years: 10, floorPercentVol: 40 });
  const [leastLitres, setLeastLitres] = useState<number | null>(null);
  const [quantity, setQuantity] = useState<Quantity>('strengthPercentVol');
  const card = useApi(api.casks.card, { params: { id } });
  const query = useApi(
    api.maturation.filling,
    {
      params: { id },
      query: { ...horizon, ...(leastLitres === null ? {} : { leastLitres }) },
    },
    { enabled: isUsable(horizon) && (leastLitres === null || leastLitres >= 0) },
  );
  const marks = useMemo(() => eventMarks(card.data?.events ?? []), [card.data]);
  return (
    <Page
      title={`Forecast of ${card.data?.cask.code ?? 'a cask'}`}
      lead={<Link href={`/casks/${id}`}>Back to its card</Link>}
      actions={
        <>
          <LinkButton to={`/what-if/casks/${id}`} icon="swap">
            What if …
          </LinkButton>
          <LinkButton to={`/wood/casks/${id}`} icon="sample">
            Wood contact
          </LinkButton>
        </>
      }
    >
      <div className="grid">
        <HorizonFields value={horizon} onChange={setHorizon} />
      </div>
      <QuantityField value={quantity} onChange={setQuantity} />
      <Loaded query={query} what="Forecasting">
        {(forecast) => (
          <div className="stack">
            <Card>
              <Fan
                quantity={quantity}
                points={forecast.points}
                measured={forecast.measured}
                stood={forecast.stood}
                marks={marks}
                level={
                  quantity === 'strengthPercentVol'
                    ? {
                        value: horizon.floorPercentVol,
                        label: `floor ${format.strength(horizon.floorPercentVol)}`,
                      }
                    : undefined
                }
              />
              <p className="field-hint">
                Dots are measured, hollow ones doubted or set aside; their bars are two standard
                uncertainties. Diamonds with brackets are the forecasts that stood before each
                gauge, 90 %. The washes are the 80 and 90 % intervals.
              </p>
            </Card>
            <Ahead forecast={forecast} years={horizon.years} />
            <CrossingCard
              floor={forecast.floor}
              leastVolume={forecast.leastVolume}
              leastLitres={leastLitres}
              onLeastLitres={setLeastLitres}
            />
            <div className="columns">
              <Stood forecast={forecast} />
              <div className="stack">
                <LossByCause forecast={forecast} />
                <Assumptions
                  lines={[
                    ...forecast.assumptions,
                    `Climate measured for ${format.percent(forecast.climateMeasuredShare, 0)} of the time behind it.`,
                    `Learned from all gauges on ${format.date(forecast.calibratedAt)}.`,
                  ]}
                />
              </div>
            </div>
          </div>
        )}
      </Loaded>
    </Page>
  );
}

function Ahead({ forecast, years }: { forecast: FillingForecast; years: number }) {
  const last = forecast.points.at(-1);
  const { floor } = forecast;
  return (
    <Figures>
      {last &&
        (Object.keys(QUANTITIES) as Quantity[]).map((q) => (
          <Figure
            key={q}
            label={`${QUANTITIES[q].title} in ${format.years(years, 0)}`}
            value={last[q].q50}
            unit={QUANTITIES[q].unit}
            decimals={QUANTITIES[q].decimals}
            origin="forecast"
            interval={[last[q].q05, last[q].q95]}
          />
        ))}
      <div className="figure">
        <span className="figure-label">Falls below {format.strength(floor.threshold)}</span>
        <span className="figure-value">
          {floor.q50 ? format.date(floor.q50) : `not within ${format.years(years, 0)}`}
        </span>
        <span className="figure-range">
          {floor.q10
            ? `80 %: ${format.date(floor.q10)} to ${floor.q90 ? format.date(floor.q90) : 'later'}; `
            : ''}
          chance that it does not: {format.percent(floor.never, 0)}
        </span>
        <span className="figure-origin" data-origin="forecast">
          <span>forecast</span>
        </span>
      </div>
    </Figures>
  );
}

function Stood({ forecast }: { forecast: FillingForecast }) {
  const measured = new Map(forecast.measured.map((m) => [m.on, m]));
  const rows = forecast.stood.flatMap((s) => {
    const m = measured.get(s.on);
    return m ? [{ on: s.on, expected: s.expected, measured: m }] : [];
  });
  return (
    <Card title="How good earlier forecasts were">
      {rows.length === 0 ? (
        <p>No gauge has been taken since a forecast first stood for this cask.</p>
      ) : (
        <Table
          caption="Forecast before each gauge and what was measured, litres of pure alcohol"
          rows={rows}
          rowKey={(r) => r.on}
          columns={[
            { key: 'on', title: 'Gauged', cell: (r) => format.date(r.on) },
            {
              key: 'expected',
              title: 'Forecast before, LPA',
              numeric: true,
              cell: (r) => format.number(r.expected.litresPureAlcohol, 2),
            },
            {
              key: 'interval',
              title: '90 % interval',
              numeric: true,
              cell: (r) =>
                `${format.number(r.expected.low90.litresPureAlcohol, 1)} to ${format.number(r.expected.high90.litresPureAlcohol, 1)}`,
            },
            {
              key: 'measured',
              title: 'Measured, LPA',
              numeric: true,
              cell: (r) => format.number(r.measured.litresPureAlcohol, 2),
            },
            {
              key: 'difference',
              title: 'Difference',
              numeric: true,
              cell: (r) =>
                format.signed(r.measured.litresPureAlcohol - r.expected.litresPureAlcohol, 2),
            },
          ]}
        />
      )}
    </Card>
  );
}

function LossByCause({ forecast }: { forecast: FillingForecast }) {
  const l = forecast.lossToDate;
  return (
    <Card title="Loss to date by cause">
      <Facts
        facts={[
          ['Soaked into the wood', format.litres(l.soakageLitres)],
          ['Ethanol evaporated', format.litres(l.ethanolLitres)],
          ['Water evaporated', format.litres(l.waterLitres)],
          ['Leaked', format.litres(l.leakLitres)],
          ['Drawn as samples', format.litres(l.samplesLitres)],
          ['Not explained by the model', format.litres(l.gaugeDifferenceLitres)],
        ]}
      />
      <p className="figure-origin" data-origin="forecast">
        calculated by the model; negative water means that the cask took water in
      </p>
    </Card>
  );
}

const WORDS: Readonly<Record<string, string>> = {
  filled: 'filled',
  sample: 'sample',
  'top-up': 'topped up',
  moved: 'moved',
  're-racked': 're-racked',
  'leak-found': 'leak',
  repaired: 'repaired',
  'part-drawn': 'part drawn',
  emptied: 'emptied',
};
function eventMarks(events: readonly { at: string; kind: string }[]): Mark[] {
  return events.map((e) => ({ atMs: Date.parse(e.at), word: WORDS[e.kind] ?? e.kind }));
}
