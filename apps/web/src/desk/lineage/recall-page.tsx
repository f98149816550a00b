import { LineageKind } from '@rundlet/contracts';
import { Link, useParams } from 'wouter';
import { api, useApi } from '../../data/client.ts';
import { Empty, Figure, Figures, format, Loaded, Page, Table } from '../../kit/kit.ts';

/** Steps that something can hold a share of. */
const Kind = LineageKind.exclude(['vat', 'blend', 'bottling-run']);

/** From a plot, harvest, ferment, run or lot to every vessel that holds some of it. */
export default function RecallPage() {
  const { kind = '', id = '' } = useParams<{ kind: string; id: string }>();
  const parsed = Kind.safeParse(kind);
  const query = useApi(
    api.lineage.recall,
    { params: { kind: parsed.success ? parsed.data : 'plot', id } },
    { enabled: parsed.success },
  );
  const trace = useApi(
    api.lineage.trace,
    { params: { kind: parsed.success ? parsed.data : 'plot', id } },
    { enabled: parsed.success },
  );
  const subject = trace.data?.nodes.find((n) => n.id === id);
  return (
    <Page
      title={`Where ${subject ? subject.name || subject.code : 'it'} is now`}
      lead={subject ? `${subject.code}. ${subject.detail}` : undefined}
    >
      <Loaded query={query} what="Searching every vessel">
        {(recall) =>
          recall.rows.length + recall.bottlings.length + recall.delivered.length === 0 ? (
            <Empty title="Nothing of it is in any vessel">
              It has all been drawn, delivered or lost.
            </Empty>
          ) : (
            <div className="stack">
              <Figures>
                <Figure
                  large
                  label="Pure alcohol of it"
                  value={recall.litresPureAlcohol}
                  unit="LPA"
                  origin="calculated"
                  note="from the book"
                />
                <Figure
                  large
                  label="Casks that hold some"
                  value={recall.casks}
                  unit="casks"
                  decimals={0}
                  origin="calculated"
                />
              </Figures>
              <Table
                caption="Vessels that hold some of it"
                rows={recall.rows}
                rowKey={(r) => `${r.vesselKind}:${r.vesselId}`}
                columns={[
                  {
                    key: 'vessel',
                    title: 'Vessel',
                    cell: (r) => (
                      <Link
                        href={
                          r.vesselKind === 'cask' ? `/casks/${r.vesselId}` : `/vats/${r.vesselId}`
                        }
                      >
                        {r.code}
                      </Link>
                    ),
                  },
                  { key: 'kind', title: 'Kind', cell: (r) => r.vesselKind },
                  { key: 'place', title: 'Position', cell: (r) => r.positionCode ?? '–' },
                  {
                    key: 'share',
                    title: 'Share of its ethanol',
                    numeric: true,
                    cell: (r) => format.percent(r.share, 2),
                  },
                  {
                    key: 'bulk',
                    title: 'Bulk in the vessel, L',
                    numeric: true,
                    cell: (r) => format.number(r.bulkLitresAt20C, 1),
                  },
                  {
                    key: 'ofIt',
                    title: 'Of it, L',
                    numeric: true,
                    cell: (r) => format.number(r.bulkLitresOfIt, 1),
                  },
                  {
                    key: 'lpa',
                    title: 'Of it, LPA',
                    numeric: true,
                    cell: (r) => format.number(r.litresPureAlcoholOfIt, 2),
                  },
                ]}
              />
              {recall.bottlings.length > 0 && (
                <Table
                  caption="Bottlings with some of it"
                  rows={recall.bottlings}
                  rowKey={(b) => b.runId}
                  columns={[
                    {
                      key: 'run',
                      title: 'Bottling',
                      cell: (b) => <Link href={`/bottlings/${b.runId}`}>{b.code}</Link>,
                    },
                    { key: 'name', title: 'Name', cell: (b) => b.name },
                    {
                      key: 'bottles',
                      title: 'Bottles',
                      numeric: true,
                      cell: (b) => format.number(b.bottles),
                    },
                    {
                      key: 'share',
                      title: 'Share of its ethanol',
                      numeric: true,
                      cell: (b) => format.percent(b.share, 2),
                    },
                    {
                      key: 'lpa',
                      title: 'Of it, LPA',
                      numeric: true,
                      cell: (b) => format.number(b.litresPureAlcoholOfIt, 2),
                    },
                  ]}
                />
              )}
              {recall.delivered.length > 0 && (
                <Table
                  caption="Delivered with some of it"
                  rows={recall.delivered}
                  rowKey={(d) => `${d.at} ${d.to}`}
                  columns={[
                    { key: 'at', title: 'On', cell: (d) => format.date(d.at) },
                    { key: 'to', title: 'To', cell: (d) => d.to },
                    {
                      key: 'share',
                      title: 'Share of its ethanol',
                      numeric: true,
                      cell: (d) => format.percent(d.share, 2),
                    },
                    {
                      key: 'lpa',
                      title: 'Of it, LPA',
                      numeric: true,
                      cell: (d) => format.number(d.litresPureAlcoholOfIt, 2),
                    },
                  ]}
                />
              )}
            </div>
          )
        }
      </Loaded>
    </Page>
  );
}
