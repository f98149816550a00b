import { LineageKind } from '@rundlet/contracts';
import { useParams } from 'wouter';
import { api, useApi } from '../../data/client.ts';
import { Card, Empty, format, Loaded, Page, Table } from '../../kit/kit.ts';
import { LineageDrawing, recallLink } from './lineage-drawing.tsx';

const KIND_WORDS: Record<LineageKind, string> = {
  plot: 'plot',
  'harvest-lot': 'harvest lot',
  ferment: 'ferment',
  'still-run': 'distillation run',
  'spirit-lot': 'spirit lot',
  vat: 'vat',
  filling: 'filling',
  blend: 'blend',
  'bottling-run': 'bottling run',
};

/** From a filling, vat, blend or lot back to its plots. */
export default function TracePage() {
  const { kind = '', id = '' } = useParams<{ kind: string; id: string }>();
  const parsed = LineageKind.safeParse(kind);
  const query = useApi(
    api.lineage.trace,
    {
      params: { kind: parsed.success ? parsed.data : 'filling', id },
      query: { direction: 'back' },
    },
    { enabled: parsed.success },
  );
  if (!parsed.success)
    return (
      <Page title="Origins">
        <Empty title="There is no such thing to trace">
          Open a cask, a vat or a blend and trace it from there.
        </Empty>
      </Page>
    );
  return (
    <Loaded query={query} what="Tracing it back">
      {(graph) => {
        const subject = graph.nodes.find((n) => n.kind === parsed.data && n.id === id);
        return (
          <Page
            title={`Origins of ${KIND_WORDS[parsed.data]} ${subject?.code ?? ''}`}
            lead={subject?.detail}
          >
            <LineageDrawing graph={graph} />
            <Card title="The same as a table">
              <Table
                caption="Every step with its share of the ethanol"
                rows={[...graph.nodes].sort((a, b) => b.share - a.share)}
                rowKey={(n) => n.key}
                columns={[
                  { key: 'kind', title: 'Step', cell: (n) => KIND_WORDS[n.kind] },
                  { key: 'code', title: 'Code', cell: (n) => recallLink(n.kind, n.id, n.code) },
                  { key: 'name', title: 'Name', cell: (n) => n.name },
                  { key: 'detail', title: 'What is known', cell: (n) => n.detail },
                  {
                    key: 'share',
                    title: 'Share of ethanol (calculated)',
                    numeric: true,
                    cell: (n) => format.percent(n.share, 2),
                  },
                ]}
              />
            </Card>
          </Page>
        );
      }}
    </Loaded>
  );
}
