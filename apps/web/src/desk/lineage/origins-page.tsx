import { Link } from 'wouter';
import { api, useApi } from '../../data/client.ts';
import { Card, Empty, format, Loaded, Page, Table } from '../../kit/kit.ts';
import { Paged } from '../paged/paged.tsx';
import { usePages } from '../paged/use-pages.ts';

/** Plots and spirit lots: where the spirit comes from, and where each has gone. */
export default function OriginsPage() {
  const plots = useApi(api.lineage.plots);
  const lots = usePages(api.lineage.lots);
  const harvests = usePages(api.lineage.harvests);
  return (
    <Page
      title="Plots and spirit lots"
      lead="Open one to see every vessel that holds some of it now."
    >
      <Card title="Plots">
        <Loaded query={plots}>
          {({ rows }) =>
            rows.length === 0 ? (
              <Empty title="No plot recorded">
                Import plots, harvests, ferments and runs from lists, or record them one by one.
              </Empty>
            ) : (
              <Table
                caption="Every plot"
                rows={rows}
                rowKey={(p) => p.id}
                columns={[
                  {
                    key: 'code',
                    title: 'Plot',
                    cell: (p) => <Link href={`/recall/plot/${p.id}`}>{p.code}</Link>,
                  },
                  { key: 'name', title: 'Name', cell: (p) => p.name },
                  { key: 'crop', title: 'Crop', cell: (p) => `${p.crop}, ${p.variety}` },
                  {
                    key: 'area',
                    title: 'Area, ha',
                    numeric: true,
                    cell: (p) => format.number(p.areaHa, 2),
                  },
                  { key: 'soil', title: 'Soil', cell: (p) => p.soil ?? '–' },
                  {
                    key: 'planted',
                    title: 'Planted',
                    numeric: true,
                    cell: (p) => p.plantedYear ?? '–',
                  },
                ]}
              />
            )
          }
        </Loaded>
      </Card>
      <Card title="Spirit lots">
        <Paged
          list={lots.list}
          rows={lots.rows}
          what="Fetching spirit lots"
          empty={<p>None recorded.</p>}
        >
          <Table
            caption="Every spirit lot"
            rows={lots.rows}
            rowKey={(l) => l.id}
            onEnd={lots.onEnd}
            columns={[
              {
                key: 'code',
                title: 'Lot',
                cell: (l) => <Link href={`/recall/spirit-lot/${l.id}`}>{l.code}</Link>,
              },
              { key: 'name', title: 'Name', cell: (l) => l.name },
              {
                key: 'plots',
                title: 'Plots',
                numeric: true,
                cell: (l) => format.number(Object.keys(l.plotShares).length),
              },
              {
                key: 'trace',
                title: 'Trace',
                cell: (l) => <Link href={`/lineage/spirit-lot/${l.id}`}>back to its plots</Link>,
              },
            ]}
          />
        </Paged>
      </Card>
      <Card title="Harvest lots">
        <Paged
          list={harvests.list}
          rows={harvests.rows}
          what="Fetching harvest lots"
          empty={<p>None recorded.</p>}
        >
          <Table
            caption="Every harvest lot"
            rows={harvests.rows}
            rowKey={(h) => h.id}
            onEnd={harvests.onEnd}
            columns={[
              {
                key: 'code',
                title: 'Harvest lot',
                cell: (h) => <Link href={`/recall/harvest-lot/${h.id}`}>{h.code}</Link>,
              },
              { key: 'on', title: 'Harvested', cell: (h) => format.date(h.harvestedOn) },
              {
                key: 'mass',
                title: 'Mass, kg',
                numeric: true,
                cell: (h) => format.number(h.massKg),
              },
              {
                key: 'sugar',
                title: 'Sugar, % mass',
                numeric: true,
                cell: (h) => format.number(h.sugarPercentMass, 1),
              },
            ]}
          />
        </Paged>
      </Card>
    </Page>
  );
}
