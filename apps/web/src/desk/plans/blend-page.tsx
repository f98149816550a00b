import { Link, useParams } from 'wouter';
import { Shares } from '../../aisle/cask/cask-origins.tsx';
import { api, useApi } from '../../data/client.ts';
import { Card, Figure, Figures, format, LinkButton, Loaded, Page, Table } from '../../kit/kit.ts';

/** A blend: what it came to, from which casks, from which plots. */
export default function BlendPage() {
  const { id = '' } = useParams<{ id: string }>();
  const query = useApi(api.blends.blend, { params: { id } });
  return (
    <Loaded query={query} what="Fetching the blend">
      {({ blend, origins }) => (
        <Page
          title={`${blend.code} ${blend.name}`}
          lead={`Vatted on ${format.date(blend.madeAt)}.`}
          actions={
            <LinkButton to={`/lineage/blend/${blend.id}`} icon="thread">
              Trace it
            </LinkButton>
          }
        >
          <Figures>
            <Figure
              large
              label="Bulk at 20 °C"
              value={blend.figures.bulkLitresAt20C}
              unit="L"
              origin="measured"
            />
            <Figure
              large
              label="Strength at 20 °C"
              value={blend.figures.strengthPercentVol}
              unit="% vol"
              decimals={2}
              origin="measured"
            />
            <Figure
              large
              label="Pure alcohol"
              value={blend.figures.litresPureAlcohol}
              unit="LPA"
              origin="calculated"
            />
          </Figures>
          <div className="columns">
            <Card title={format.count(blend.fillings.length, 'cask')}>
              <Table
                caption="Casks in the blend"
                rows={blend.fillings}
                rowKey={(f) => f.fillingId}
                columns={[
                  {
                    key: 'cask',
                    title: 'Cask',
                    cell: (f) => <Link href={`/casks/${f.caskId}`}>{f.caskCode}</Link>,
                  },
                  {
                    key: 'share',
                    title: 'Share of alcohol',
                    numeric: true,
                    cell: (f) => format.percent(f.ethanolShare, 2),
                  },
                ]}
              />
            </Card>
            <Card title="Origins, by share of ethanol">
              <div className="stack">
                <Shares title="Plots" kind="plot" shares={origins.plots} />
                <Shares title="Harvests" kind="harvest-lot" shares={origins.harvests} />
                <Shares title="Spirit lots" kind="spirit-lot" shares={origins.lots} />
              </div>
            </Card>
          </div>
        </Page>
      )}
    </Loaded>
  );
}
