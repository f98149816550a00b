import { useState } from 'react';
import { api, useApi } from '../../data/client.ts';
import {
  Card,
  ChoiceField,
  Empty,
  Figure,
  Figures,
  format,
  Loaded,
  Page,
  SelectField,
  Table,
} from '../../kit/kit.ts';
import { Calibration } from './calibration.tsx';
import { Fan, QUANTITIES, type Quantity } from './fan.tsx';
import { HorizonFields, isUsable, type Horizon } from './horizon-fields.tsx';

/** A store, an owner or the whole stock over the coming years. */
export default function StockForecastPage() {
  const [horizon, setHorizon] = useState<Horizon>({ years: 10, floorPercentVol: 40 });
  const [quantity, setQuantity] = useState<Quantity>('litresPureAlcohol');
  const [storeId, setStoreId] = useState('');
  const [zoneId, setZoneId] = useState('');
  const [accountId, setAccountId] = useState('');
  const stores = useApi(api.places.stores, {}, { staleTime: 300_000 });
  const accounts = useApi(api.places.accounts, {}, { staleTime: 300_000 });
  const zones = stores.data?.rows.find((s) => s.store.id === storeId)?.zones ?? [];
  const scope = {
    ...(storeId ? { storeId } : {}),
    ...(zoneId ? { zoneId } : {}),
    ...(accountId ? { accountId } : {}),
  };
  const query = useApi(
    api.maturation.stock,
    { query: { ...horizon, ...scope } },
    { enabled: isUsable(horizon) },
  );
  return (
    <Page
      title="What the stock will be"
      lead="All casks together, as if none were drawn or filled from now on. Their errors partly share a cause, so the interval is worked out for the sum."
    >
      <div className="grid">
        <SelectField
          label="Store"
          value={storeId}
          onChange={(v) => {
            setStoreId(v);
            setZoneId('');
          }}
          choices={[
            { value: '', label: 'every store' },
            ...(stores.data?.rows ?? []).map(({ store }) => ({
              value: store.id,
              label: store.name,
            })),
          ]}
        />
        {zones.length > 0 && (
          <SelectField
            label="Zone"
            value={zoneId}
            onChange={setZoneId}
            choices={[
              { value: '', label: 'every zone' },
              ...zones.map(({ zone }) => ({ value: zone.id, label: zone.name })),
            ]}
          />
        )}
        <SelectField
          label="Owner"
          value={accountId}
          onChange={setAccountId}
          choices={[
            { value: '', label: 'everyone' },
            ...(accounts.data?.rows ?? []).map((a) => ({ value: a.id, label: a.name })),
          ]}
        />
        <HorizonFields value={horizon} onChange={setHorizon} />
      </div>
      <ChoiceField
        label="Show"
        value={quantity}
        onChange={setQuantity}
        choices={Object.entries(QUANTITIES).map(([value, q]) => ({
          value: value as Quantity,
          label: q.title,
        }))}
      />
      <Loaded query={query} what="Forecasting the stock">
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
                  origin="measured"
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
                  <Card title="What this rests on">
                    <ul>
                      {forecast.assumptions.map((a) => (
                        <li key={a}>{a}</li>
                      ))}
                    </ul>
                  </Card>
                  <Calibration />
                </div>
              </div>
            </div>
          );
        }}
      </Loaded>
    </Page>
  );
}
