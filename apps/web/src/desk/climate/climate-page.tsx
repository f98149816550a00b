import { useState } from 'react';
import { api, useApi } from '../../data/client.ts';
import { useMay } from '../../data/session.tsx';
import { Card, Empty, format, Loaded, Page, SelectField, Table } from '../../kit/kit.ts';
import { useStores } from '../fields/place-fields.tsx';
import { ClimatePictures } from './climate-pictures.tsx';
import { ImportForm } from './import-form.tsx';

/** A zone's air as its loggers saw it: by day, by month, with its gaps; and the way in for a logger's file. */
export default function ClimatePage() {
  const may = useMay();
  const [chosen, setChosen] = useState('');
  const zones = useStores().flatMap(({ store, zones: inStore }) =>
    inStore.map(({ zone }) => ({ value: zone.id, label: `${store.name}, ${zone.name}` })),
  );
  const zoneId = chosen || (zones[0]?.value ?? '');
  const query = useApi(
    api.maturation.climate,
    { params: { id: zoneId } },
    { enabled: zoneId !== '' },
  );
  return (
    <Page
      title="Climate"
      lead="What the air did to the casks. Temperature and humidity are measured by loggers; gaps stay gaps until the forecast fills them, and it says so."
    >
      <div className="grid">
        <SelectField label="Zone" value={zoneId} onChange={setChosen} choices={zones} />
      </div>
      {zoneId === '' ? (
        <Empty title="No zone yet">Set up a store and its zones first.</Empty>
      ) : (
        <Loaded query={query} what="Fetching the readings">
          {(climate) => (
            <div className="stack">
              {climate.days.length === 0 ? (
                <Empty title="No readings for this zone">
                  Import a logger’s file below. Until then forecasts rest on an assumed climate and
                  say so.
                </Empty>
              ) : (
                <ClimatePictures climate={climate} />
              )}
              <div className="columns">
                <div className="stack">
                  <Card title="Gaps">
                    {climate.gaps.length === 0 ? (
                      <p>None.</p>
                    ) : (
                      <Table
                        caption="Days without readings"
                        rows={climate.gaps}
                        rowKey={(g) => g.from}
                        columns={[
                          { key: 'from', title: 'From', cell: (g) => format.date(g.from) },
                          { key: 'to', title: 'To', cell: (g) => format.date(g.to) },
                          {
                            key: 'days',
                            title: 'Days',
                            numeric: true,
                            cell: (g) => format.number(g.days),
                          },
                        ]}
                      />
                    )}
                  </Card>
                  <Card title="Files imported">
                    <Table
                      caption="Imported logger files"
                      rows={climate.imports}
                      rowKey={(i) => i.id}
                      columns={[
                        { key: 'logger', title: 'Logger', cell: (i) => i.logger },
                        { key: 'from', title: 'From', cell: (i) => format.date(i.firstAt) },
                        { key: 'to', title: 'To', cell: (i) => format.date(i.lastAt) },
                        {
                          key: 'rows',
                          title: 'Readings',
                          numeric: true,
                          cell: (i) => format.number(i.rowCount),
                        },
                        {
                          key: 'rejected',
                          title: 'Left out',
                          numeric: true,
                          cell: (i) => format.number(i.rejectedCount),
                        },
                      ]}
                    />
                  </Card>
                </div>
                {may('warehouse') && <ImportForm key={zoneId} zoneId={zoneId} />}
              </div>
            </div>
          )}
        </Loaded>
      )}
    </Page>
  );
}
