import { api, type ZoneAccuracy } from '@rundlet/contracts';
import { Link } from 'wouter';
import { useApi } from '../../data/client.ts';
import { Card, Empty, format, Loaded, Page, Table, type Column } from '../../kit/kit.ts';

const columns: readonly Column<ZoneAccuracy>[] = [
  { key: 'signed', title: 'Signed', cell: ({ signedAt }) => format.date(signedAt) },
  {
    key: 'count',
    title: 'Stock-take',
    cell: ({ stocktakeId, title }) => <Link href={`/counts/${stocktakeId}/sheet`}>{title}</Link>,
  },
  { key: 'expected', title: 'Expected', cell: ({ expected }) => format.number(expected) },
  { key: 'misplaced', title: 'Misplaced', cell: ({ misplaced }) => format.number(misplaced) },
  { key: 'missing', title: 'Missing', cell: ({ missing }) => format.number(missing) },
  {
    key: 'right',
    title: 'Book right',
    cell: ({ right, expected }) => (
      <span className="line">
        <meter
          aria-hidden="true"
          min={0}
          max={1}
          low={0.95}
          high={0.99}
          optimum={1}
          value={expected === 0 ? 1 : right / expected}
        />
        {format.percent(expected === 0 ? null : right / expected)}
      </span>
    ),
  },
];

/** How right the book was, zone by zone and count by count. */
export default function AccuracyPage() {
  const query = useApi(api.stocktakes.accuracy);
  return (
    <Page
      title="How right the book was"
      lead="Every signed stock-take, zone by zone: the share of expected casks that stood where the book has them. A cask put right on the spot counts as misplaced."
    >
      <Loaded query={query} what="Looking the counts up">
        {({ rows }) =>
          rows.length === 0 ? (
            <Empty title="No stock-take has been signed yet">
              Once one is, each zone it covered stands here.
            </Empty>
          ) : (
            <>
              {zonesOf(rows).map(({ zoneId, name, counts }) => (
                <Card key={zoneId} title={name}>
                  <Table
                    caption={`Counts of ${name}`}
                    columns={columns}
                    rows={counts}
                    rowKey={({ stocktakeId }) => stocktakeId}
                  />
                </Card>
              ))}
            </>
          )
        }
      </Loaded>
    </Page>
  );
}

function zonesOf(rows: readonly ZoneAccuracy[]) {
  const zones = new Map<string, { zoneId: string; name: string; counts: ZoneAccuracy[] }>();
  for (const row of rows) {
    const { zoneId, storeName, zoneName } = row;
    const zone = zones.get(zoneId) ?? { zoneId, name: `${storeName}, ${zoneName}`, counts: [] };
    zone.counts.push(row);
    zones.set(zoneId, zone);
  }
  return [...zones.values()];
}
