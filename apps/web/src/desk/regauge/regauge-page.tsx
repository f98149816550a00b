import { useState } from 'react';
import { Link } from 'wouter';
import { api, useApi } from '../../data/client.ts';
import {
  Button,
  Empty,
  Figure,
  Figures,
  format,
  NumberField,
  Page,
  SelectField,
  Table,
} from '../../kit/kit.ts';
import { VapourCaution } from '../../aisle/cautions.tsx';
import { WalkButton } from '../../aisle/walk/walk-button.tsx';
import { StoreField } from '../fields/place-fields.tsx';
import { Soon, useSoon } from '../jobs/soon.tsx';

/** Which casks to open next, so that the doubt about the stock falls most; printed in walking order. */
export default function RegaugePage() {
  const [storeId, setStoreId] = useState('');
  const [planId, setPlanId] = useState('');
  const plans = useApi(api.blends.plans, { query: { limit: 100 } }, { staleTime: 60_000 });
  const [count, setCount] = useState<number | null>(20);
  const usable = count !== null && count >= 1 && count <= 200;
  const query = useSoon(
    api.maturation.regaugeSoon,
    {
      query: { count: count ?? 20, ...(storeId ? { storeId } : {}), ...(planId ? { planId } : {}) },
    },
    { enabled: usable },
  );
  return (
    <Page
      title="Regauge round"
      lead="The casks whose gauge would take most doubt off the stock, in walking order."
      actions={
        <Button
          icon="download"
          onClick={() => {
            print();
          }}
        >
          Print the round
        </Button>
      }
    >
      <div className="grid not-printed">
        <StoreField value={storeId} onChange={setStoreId} />
        <SelectField
          label="Doubt about"
          value={planId}
          onChange={setPlanId}
          choices={[
            { value: '', label: 'the whole stock' },
            ...(plans.data?.rows ?? [])
              .filter(({ status }) => status === 'saved' || status === 'reserved')
              .map((plan) => ({ value: plan.id, label: `blend plan ${plan.name}` })),
          ]}
        />
        <NumberField
          label="Casks to open"
          unit="casks"
          value={count}
          onChange={setCount}
          error={usable ? undefined : 'between 1 and 200'}
        />
      </div>
      <Soon query={query} what="Weighing up the doubt">
        {({ rows }) =>
          rows.length === 0 ? (
            <Empty title="No cask to gauge here">Choose another store.</Empty>
          ) : (
            <div className="stack">
              <div className="line not-printed">
                <WalkButton
                  casks={rows.map(({ caskId, caskCode }) => ({ id: caskId, code: caskCode }))}
                />
              </div>
              <Figures>
                <Figure
                  label="Doubt these casks carry"
                  value={rows.reduce((s, r) => s + r.doubtLitresPureAlcohol, 0)}
                  unit="LPA"
                  origin="forecast"
                  note="sum of standard deviations"
                />
                <Figure
                  label="Doubt taken off by gauging them"
                  value={rows.reduce((s, r) => s + r.doubtRemovedLitresPureAlcohol, 0)}
                  unit="LPA"
                  origin="forecast"
                />
              </Figures>
              <Table
                caption={`Casks to gauge, in walking order, ${format.date(new Date().toISOString())}`}
                rows={[...rows].sort((a, b) => (a.walkOrder ?? 1e9) - (b.walkOrder ?? 1e9))}
                rowKey={(r) => r.caskId}
                columns={[
                  { key: 'place', title: 'Position', cell: (r) => r.positionCode ?? '–' },
                  {
                    key: 'cask',
                    title: 'Cask',
                    cell: (r) => <Link href={`/casks/${r.caskId}/gauge`}>{r.caskCode}</Link>,
                  },
                  { key: 'last', title: 'Last gauge', cell: (r) => format.date(r.lastGaugedAt) },
                  {
                    key: 'doubt',
                    title: 'Doubt, LPA',
                    numeric: true,
                    cell: (r) => format.number(r.doubtLitresPureAlcohol, 2),
                  },
                  {
                    key: 'why',
                    title: 'Why',
                    cell: (r) => <span className="cell-words">{r.reason}</span>,
                  },
                  { key: 'dip', title: 'Dip or weight', cell: () => '' },
                  { key: 'strength', title: 'Reading, °C', cell: () => '' },
                ]}
              />
              <VapourCaution />
            </div>
          )
        }
      </Soon>
    </Page>
  );
}
