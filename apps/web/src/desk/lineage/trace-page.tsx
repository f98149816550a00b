import { LineageKind } from '@rundlet/contracts';
import { useLocation, useParams, useSearch } from 'wouter';
import { api, useApi } from '../../data/client.ts';
import { Card, ChoiceField, Empty, format, Loaded, Page, Table } from '../../kit/kit.ts';
import { KIND_WORDS, STEPS, type Direction } from './kinds.ts';
import { LineageDrawing, NodeLinks } from './lineage-drawing.tsx';

/** From any step of the chain back to its plots, or forth to all that has some of it. */
export default function TracePage() {
  const { kind = '', id = '' } = useParams<{ kind: string; id: string }>();
  const [, go] = useLocation();
  const direction: Direction = new URLSearchParams(useSearch()).has('forth') ? 'forth' : 'back';
  const parsed = LineageKind.safeParse(kind);
  const query = useApi(
    api.lineage.trace,
    { params: { kind: parsed.success ? parsed.data : 'filling', id }, query: { direction } },
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
    <Loaded query={query} what="Following it">
      {(graph) => {
        const subject = graph.nodes.find((n) => n.kind === parsed.data && n.id === id);
        const what = `${KIND_WORDS[parsed.data]} ${subject?.code ?? ''}`;
        return (
          <Page
            title={direction === 'back' ? `Origins of ${what}` : `What has some of ${what}`}
            lead={subject?.detail}
          >
            {parsed.data !== 'plot' && parsed.data !== 'vat' && parsed.data !== 'bottling-run' && (
              <ChoiceField
                label="Which way"
                value={direction}
                onChange={(way) => {
                  go(`/lineage/${kind}/${id}${way === 'forth' ? '?forth' : ''}`);
                }}
                choices={[
                  { value: 'back', label: 'Back to its plots' },
                  { value: 'forth', label: 'Forth to its bottles' },
                ]}
              />
            )}
            <LineageDrawing
              key={direction}
              graph={graph}
              direction={direction}
              subjectId={subject?.id ?? ''}
            />
            <Card title="The same as a table">
              <Table
                caption={
                  direction === 'back'
                    ? 'Every step with its share of the ethanol'
                    : 'Every step with the share of its ethanol that is of it'
                }
                rows={[...graph.nodes].sort(
                  (a, b) => stepOf(a.kind) - stepOf(b.kind) || b.share - a.share,
                )}
                rowKey={(n) => n.key}
                columns={[
                  { key: 'kind', title: 'Step', cell: (n) => KIND_WORDS[n.kind] },
                  {
                    key: 'code',
                    title: 'Code',
                    cell: (n) => (n.members > 1 ? format.count(n.members, 'filling') : n.code),
                  },
                  { key: 'name', title: 'Name', cell: (n) => n.name },
                  { key: 'detail', title: 'What is known', cell: (n) => n.detail },
                  {
                    key: 'share',
                    title: 'Share of ethanol (calculated)',
                    numeric: true,
                    cell: (n) => format.percent(n.share, 2),
                  },
                  {
                    key: 'links',
                    title: 'Go on',
                    cell: (n) => (n.members > 1 ? null : <NodeLinks node={n} />),
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

const stepOf = (kind: LineageKind): number => STEPS.findIndex((s) => s.kinds.includes(kind));
