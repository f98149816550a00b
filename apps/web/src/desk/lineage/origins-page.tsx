import { Link } from 'wouter';
import { api, useApi } from '../../data/client.ts';
import { useMay } from '../../data/session.tsx';
import { Card, Empty, format, LinkButton, Loaded, Page, Table } from '../../kit/kit.ts';
import { Paged } from '../paged/paged.tsx';
import { usePages } from '../paged/use-pages.ts';
import { NodeLinks } from './lineage-drawing.tsx';
import type { StepKind } from '@rundlet/contracts';
import { STEP } from './steps.ts';

type Row = { readonly id: string; readonly code: string };
interface Column<R> {
  key: string;
  title: string;
  numeric?: true;
  cell: (row: R) => React.ReactNode;
}

/** The chain from plot to spirit lot: what is recorded of each step, and where it has gone. */
export default function OriginsPage() {
  const plots = useApi(api.lineage.plots);
  const lots = usePages(api.lineage.lots);
  const harvests = usePages(api.lineage.harvests);
  const ferments = usePages(api.lineage.ferments);
  const runs = usePages(api.lineage.stillRuns);
  const date = (value: string) => format.date(value);
  const number = (value: number, decimals = 0) => format.number(value, decimals);
  return (
    <Page
      title="Plots and spirit lots"
      lead="Follow any of them back to its plots, forth to its bottles, or to every vessel that holds some of it now."
    >
      <Card title="Plots" aside={<RecordLink kind="plot" />}>
        <Loaded query={plots}>
          {({ rows }) =>
            rows.length === 0 ? (
              <Empty title="No plot recorded">
                Record plots, harvests, ferments and runs here, or import them from lists.
              </Empty>
            ) : (
              <Table
                caption="Every plot"
                rows={rows}
                rowKey={(p) => p.id}
                columns={[
                  { key: 'code', title: 'Plot', cell: (p) => <RecordPage kind="plot" row={p} /> },
                  { key: 'name', title: 'Name', cell: (p) => p.name },
                  { key: 'crop', title: 'Crop', cell: (p) => `${p.crop}, ${p.variety}` },
                  {
                    key: 'area',
                    title: 'Area, ha',
                    numeric: true,
                    cell: (p) => number(p.areaHa, 2),
                  },
                  { key: 'soil', title: 'Soil', cell: (p) => p.soil ?? '–' },
                  {
                    key: 'planted',
                    title: 'Planted',
                    numeric: true,
                    cell: (p) => p.plantedYear ?? '–',
                  },
                  links('plot'),
                ]}
              />
            )
          }
        </Loaded>
      </Card>
      <StepCard
        kind="spirit-lot"
        title="Spirit lots"
        pages={lots}
        columns={[
          { key: 'name', title: 'Name', cell: (l) => l.name },
          {
            key: 'plots',
            title: 'Plots',
            numeric: true,
            cell: (l) => number(Object.keys(l.plotShares).length),
          },
        ]}
      />
      <StepCard
        kind="still-run"
        title="Distillation runs"
        pages={runs}
        columns={[
          { key: 'on', title: 'Ran', cell: (r) => date(r.ranOn) },
          { key: 'still', title: 'Still', cell: (r) => r.still },
          {
            key: 'heads',
            title: 'Heads, L',
            numeric: true,
            cell: (r) => number(r.headsLitresAt20C),
          },
          {
            key: 'hearts',
            title: 'Hearts, L',
            numeric: true,
            cell: (r) => number(r.heartsLitresAt20C),
          },
          {
            key: 'strength',
            title: 'Hearts, % vol',
            numeric: true,
            cell: (r) => number(r.heartsStrengthPercentVol, 1),
          },
          {
            key: 'tails',
            title: 'Tails, L',
            numeric: true,
            cell: (r) => number(r.tailsLitresAt20C),
          },
        ]}
      />
      <StepCard
        kind="ferment"
        title="Ferments"
        pages={ferments}
        columns={[
          { key: 'vessel', title: 'Vessel', cell: (f) => f.vessel },
          { key: 'yeast', title: 'Yeast', cell: (f) => f.yeast },
          { key: 'from', title: 'Started', cell: (f) => date(f.startedOn) },
          { key: 'to', title: 'Ended', cell: (f) => date(f.endedOn) },
          { key: 'bulk', title: 'Bulk, L', numeric: true, cell: (f) => number(f.bulkLitresAt20C) },
          {
            key: 'strength',
            title: '% vol',
            numeric: true,
            cell: (f) => number(f.strengthPercentVol, 1),
          },
        ]}
      />
      <StepCard
        kind="harvest-lot"
        title="Harvest lots"
        pages={harvests}
        columns={[
          { key: 'on', title: 'Harvested', cell: (h) => date(h.harvestedOn) },
          { key: 'mass', title: 'Mass, kg', numeric: true, cell: (h) => number(h.massKg) },
          {
            key: 'sugar',
            title: 'Sugar, % mass',
            numeric: true,
            cell: (h) => number(h.sugarPercentMass, 1),
          },
        ]}
      />
    </Page>
  );
}

function StepCard<R extends Row>({
  kind,
  title,
  pages,
  columns,
}: {
  kind: StepKind;
  title: string;
  pages: {
    list: Parameters<typeof Paged>[0]['list'];
    rows: R[];
    onEnd: (() => void) | undefined;
  };
  columns: Column<R>[];
}) {
  return (
    <Card title={title} aside={<RecordLink kind={kind} />}>
      <Paged
        list={pages.list}
        rows={pages.rows}
        what={`Fetching ${title.toLowerCase()}`}
        empty={<p>None recorded.</p>}
      >
        <Table
          caption={`${title}, newest first`}
          rows={pages.rows}
          rowKey={(row) => row.id}
          {...(pages.onEnd ? { onEnd: pages.onEnd } : {})}
          columns={[
            { key: 'code', title: 'Code', cell: (row) => <RecordPage kind={kind} row={row} /> },
            ...columns,
            links(kind),
          ]}
        />
      </Paged>
    </Card>
  );
}

const RecordPage = ({ kind, row }: { kind: StepKind; row: Row }) => (
  <Link href={`/origins/${kind}/${row.id}`}>{row.code}</Link>
);

function RecordLink({ kind }: { kind: StepKind }) {
  const may = useMay();
  return may('warehouse') ? (
    <LinkButton to={`/origins/${kind}/new`}>Record {STEP[kind].a}</LinkButton>
  ) : null;
}

const links = (kind: StepKind): Column<Row> => ({
  key: 'links',
  title: 'Follow',
  cell: ({ id }) => <NodeLinks node={{ kind, id }} />,
});
