import { Link } from 'wouter';
import { api, useApi } from '../../data/client.ts';
import {
  Card,
  Empty,
  Figure,
  Figures,
  format,
  LinkButton,
  Loaded,
  Page,
  Table,
} from '../../kit/kit.ts';
import { AgeBars } from './age-bars.tsx';
import { Due } from './due.tsx';

/** The desk's first page: what the stock is and what waits for somebody. */
export default function OverviewPage() {
  const query = useApi(api.places.overview);
  return (
    <Page
      title="The stock today"
      lead="Book figures at 20 °C: the last gauge of each cask, less what was drawn since."
    >
      <Loaded query={query} what="Adding up the stock">
        {(o) =>
          o.casksFilled + o.casksEmpty === 0 ? (
            <Empty
              title="No casks yet"
              action={<LinkButton to="/casks/new">Register casks</LinkButton>}
            >
              Set up a store with its rack positions, then register the first casks or import them
              from a list.
            </Empty>
          ) : (
            <div className="stack">
              <Figures>
                <Figure
                  large
                  label="Casks with spirit"
                  value={o.casksFilled}
                  unit="casks"
                  decimals={0}
                  origin="calculated"
                  note={`from the journal; ${format.count(o.casksEmpty, 'empty cask')} beside them`}
                />
                <Figure
                  large
                  label="Bulk"
                  value={o.stock.bulkLitresAt20C}
                  unit="L"
                  decimals={0}
                  origin="calculated"
                  note="from the book"
                />
                <Figure
                  large
                  label="Pure alcohol"
                  value={o.stock.litresPureAlcohol}
                  unit="LPA"
                  decimals={0}
                  origin="calculated"
                  note="from the book"
                />
              </Figures>
              <div className="columns">
                <div className="stack">
                  <Card title="By store">
                    <Table
                      caption="Stock by store"
                      rows={o.byStore}
                      rowKey={(r) => r.storeId}
                      columns={[
                        {
                          key: 'name',
                          title: 'Store',
                          cell: (r) => <Link href={`/stock?storeId=${r.storeId}`}>{r.name}</Link>,
                        },
                        {
                          key: 'casks',
                          title: 'Casks',
                          numeric: true,
                          cell: (r) => format.number(r.casks),
                        },
                        {
                          key: 'bulk',
                          title: 'Bulk, L',
                          numeric: true,
                          cell: (r) => format.number(r.bulkLitresAt20C),
                        },
                        {
                          key: 'lpa',
                          title: 'LPA',
                          numeric: true,
                          cell: (r) => format.number(r.litresPureAlcohol),
                        },
                      ]}
                    />
                  </Card>
                  <Card title="By age">
                    <AgeBars bands={o.byAgeYears} />
                  </Card>
                </div>
                <Due overview={o} />
              </div>
            </div>
          )
        }
      </Loaded>
    </Page>
  );
}
