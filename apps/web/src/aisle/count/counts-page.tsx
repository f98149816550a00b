import { api, type Stocktake, type StocktakeTally } from '@rundlet/contracts';
import { Link } from 'wouter';
import { useAisle } from '../../data/aisle.ts';
import { useApi } from '../../data/client.ts';
import { useMay } from '../../data/session.tsx';
import { Empty, format, LinkButton, Loaded, Mark, Notice, Page, Progress } from '../../kit/kit.ts';

/** Stock-takes, newest first; open ones can be counted without a network. */
export default function CountsPage() {
  const may = useMay();
  const list = useApi(api.stocktakes.list, { query: { limit: 50 } });
  const { index } = useAisle();
  return (
    <Page
      title="Stock-take"
      lead="Count what stands in the store; differences are settled by a keeper and signed by a second person."
      actions={
        <>
          {may('keep') && (
            <LinkButton to="/counts/new" kind="main" icon="count">
              Open a stock-take
            </LinkButton>
          )}
          <LinkButton to="/counts/accuracy" icon="chart">
            How right the book was
          </LinkButton>
        </>
      }
      narrow
    >
      {list.isError && index ? (
        <>
          <Notice>
            The server cannot be asked just now. These were open when this device last fetched the
            store.
          </Notice>
          <ul className="bare-list stack-tight">
            {index.snapshot.stocktakes.map(({ id, title, code }) => (
              <li key={id} className="card line-spread">
                <Link href={`/counts/${id}`}>{title}</Link>
                <span className="code small soft">{code}</span>
              </li>
            ))}
          </ul>
        </>
      ) : (
        <Loaded query={list} what="Asking for the stock-takes">
          {({ rows }) =>
            rows.length === 0 ? (
              <Empty title="No stock-take yet">
                A keeper opens one for a store, zones or rows.
              </Empty>
            ) : (
              <ul className="bare-list stack-tight">
                {rows.map(({ stocktake, tally }) => (
                  <CountTile key={stocktake.id} stocktake={stocktake} tally={tally} />
                ))}
              </ul>
            )
          }
        </Loaded>
      )}
    </Page>
  );
}

export const STATUS_WORDS: Record<
  Stocktake['status'],
  { words: string; tone: 'good' | 'caution' | 'plain' }
> = {
  open: { words: 'open', tone: 'caution' },
  reconciled: { words: 'settled, to be signed', tone: 'caution' },
  signed: { words: 'signed', tone: 'good' },
  abandoned: { words: 'abandoned', tone: 'plain' },
};

function CountTile({ stocktake, tally }: { stocktake: Stocktake; tally: StocktakeTally }) {
  const { words, tone } = STATUS_WORDS[stocktake.status];
  const to =
    stocktake.status === 'open' ? `/counts/${stocktake.id}` : `/counts/${stocktake.id}/sheet`;
  return (
    <li className="card stack-tight">
      <div className="line-spread">
        <h2>
          <Link href={to}>{stocktake.title}</Link>
        </h2>
        <Mark tone={tone}>{words}</Mark>
      </div>
      <p className="soft small">
        <span className="code">{stocktake.code}</span>, opened {format.date(stocktake.openedAt)}
        {stocktake.blind && ', blind'}
      </p>
      <Progress
        label={`${format.number(tally.found)} of ${format.number(tally.expected)} found`}
        value={tally.expected === 0 ? 0 : tally.found / tally.expected}
      />
    </li>
  );
}
