import { useState } from 'react';
import { Link, useParams } from 'wouter';
import { api, useApi } from '../../data/client.ts';
import { useMay } from '../../data/session.tsx';
import { Card, Empty, LinkButton, Loaded, Page, SelectField } from '../../kit/kit.ts';
import { Assumptions } from '../forecast/assumptions.tsx';
import { TimePlot } from '../plot/time-plot.tsx';
import { ResultsCard } from './results-card.tsx';

/** What the wood has given by the index, and what laboratory and panel found beside it. */
export default function WoodPage() {
  const { id = '' } = useParams<{ id: string }>();
  const may = useMay();
  const [chosen, setChosen] = useState('');
  const card = useApi(api.casks.card, { params: { id } });
  const query = useApi(api.maturation.woodContact, { params: { id }, query: { years: 5 } });
  return (
    <Page
      title={`Wood contact of ${card.data?.cask.code ?? 'a cask'}`}
      lead={<Link href={`/forecast/casks/${id}`}>Back to its forecast</Link>}
      actions={
        may('blend') && (
          <LinkButton to={`/casks/${id}/result`} icon="book">
            Enter a result
          </LinkButton>
        )
      }
    >
      <Loaded query={query} what="Working out the wood contact">
        {(contact) => {
          const at = contact.points.map((p) => Date.parse(p.on));
          const measures = contact.fits.map((f) => f.measure);
          const measure = chosen || (measures[0] ?? '');
          const fit = contact.fits.find((f) => f.measure === measure);
          const last = contact.points.at(-1);
          return (
            <div className="stack">
              <Card>
                <TimePlot
                  title="Index of wood contact"
                  unit="years of a first-fill 200 L cask at 15 °C"
                  decimals={2}
                  at={at}
                  curves={[
                    { label: 'index', weight: 'main', values: contact.points.map((p) => p.index) },
                    {
                      label: 'fast compounds, dashed',
                      weight: 'soft',
                      dash: [9, 5],
                      values: contact.points.map((p) => p.fast),
                    },
                    {
                      label: 'slow compounds, dotted',
                      weight: 'soft',
                      dash: [3, 4],
                      values: contact.points.map((p) => p.slow),
                    },
                  ]}
                  marks={contact.results.map((r) => ({ atMs: Date.parse(r.on), word: r.measure }))}
                  summary={last ? `On ${last.on} the index is ${last.index.toFixed(2)}.` : ''}
                />
              </Card>
              {contact.results.length === 0 ? (
                <Empty title="No results entered yet">
                  Laboratory and panel results of this filling are drawn against the index here.
                </Empty>
              ) : (
                <>
                  {measures.length > 1 && (
                    <SelectField
                      label="Measure"
                      value={measure}
                      onChange={setChosen}
                      choices={measures.map((value) => ({ value, label: value }))}
                    />
                  )}
                  {fit && (
                    <ResultsCard
                      fit={fit}
                      results={contact.results.filter((r) => r.measure === measure)}
                    />
                  )}
                </>
              )}
              <Assumptions lines={contact.assumptions} />
            </div>
          );
        }}
      </Loaded>
    </Page>
  );
}
