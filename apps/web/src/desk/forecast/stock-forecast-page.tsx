import type { StockScope } from '@rundlet/contracts';
import { useState } from 'react';
import { api } from '../../data/client.ts';
import { Card, Empty, Figure, Figures, format, Page, Table } from '../../kit/kit.ts';
import { ScopeFields } from '../fields/scope-fields.tsx';
import { Soon, useSoon } from '../jobs/soon.tsx';
import { Assumptions } from './assumptions.tsx';
import { Calibration } from './calibration.tsx';
import { Fan, type Quantity } from './fan.tsx';
import { HorizonFields, isUsable, type Horizon } from './horizon-fields.tsx';
import { QuantityField } from './quantity-field.tsx';

/** A store, an owner or the whole stock over the coming years. */
export default function StockForecastPage() {
  const [horizon, setHorizon] = useState<Horizon>({ years: 10, floorPercentVol: 40 });
  const [quantity, setQuantity] = useState<Quantity>('litresPureAlcohol');
  const [scope, setScope] = useState<StockScope>({});
  const query = useSoon(
    api.maturation.stockSoon,
    { query: { ...horizon, ...scope } },
    { enabled: isUsable(horizon) },
  );
  return (
    <Page
      title="What the stock will be"
      lead="All casks together, as if none were drawn or filled from now on. Their errors partly share a cause, so the interval is worked out for the sum."
    >
      <div className="grid">
        <ScopeFields scope={scope} onChange={setScope} />
        <HorizonFields value={horizon} onChange={setHorizon} />
      </div>
      <QuantityField value={quantity} onChange={setQuantity} />
      <Soon query={query} what="Forecasting the stock">
        {(forecast) => {
          const first = forecast.points[0];
          const last = forecast.points.at(-1);
          if (!first || !last || forecast.casks === 0)
            return <Empty title="No casks with spirit here">Choose another store or owner.</Empty>;
          return (
            <div className="stack">
              <Card>
                <Fan quantity={quantity} points={forecast.points} />
              </Card>
              <Figures>
                <Figure
                  label="Casks"
                  value={forecast.casks}
                  unit="casks"
                  decimals={0}
                  origin="calculated"
                />
                <Figure
                  label={`Pure alcohol in ${format.years(horizon.years, 0)}`}
                  value={last.litresPureAlcohol.q50}
                  unit="LPA"
                  decimals={0}
                  origin="forecast"
                  interval={[last.litresPureAlcohol.q05, last.litresPureAlcohol.q95]}
                />
                <Figure
                  label={`Lost by then`}
                  value={first.litresPureAlcohol.q50 - last.litresPureAlcohol.q50}
                  unit="LPA"
                  decimals={0}
                  origin="forecast"
                />
              </Figures>
              <div className="columns">
                <Card title={`Casks below ${format.strength(horizon.floorPercentVol)}`}>
                  <Table
                    caption="Expected number of casks below the floor"
                    rows={forecast.belowFloor}
                    rowKey={(r) => r.on}
                    columns={[
                      { key: 'on', title: 'On', cell: (r) => format.date(r.on) },
                      {
                        key: 'casks',
                        title: 'Casks expected below (forecast)',
                        numeric: true,
                        cell: (r) => format.number(r.expectedCasks, 1),
                      },
                    ]}
                  />
                </Card>
                <div className="stack">
                  <Assumptions lines={forecast.assumptions} />
                  <Calibration />
                </div>
              </div>
            </div>
          );
        }}
      </Soon>
    </Page>
  );
}
