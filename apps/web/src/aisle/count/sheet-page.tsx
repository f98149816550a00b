import { api, type Stocktake } from '@rundlet/contracts';
import { useState } from 'react';
import { useParams } from 'wouter';
import { client, useApi } from '../../data/client.ts';
import { download } from '../../data/download.ts';
import { useMay } from '../../data/session.tsx';
import { Button, Card, Failed, format, LinkButton, Loaded, Mark, Page } from '../../kit/kit.ts';
import { STATUS_WORDS } from './counts-page.tsx';
import { SettleForm } from './settle-form.tsx';
import { SheetLines } from './sheet-lines.tsx';
import { SignForm } from './sign-form.tsx';
import { TallyFigures } from './tally-figures.tsx';

/** A stock-take's sheet: tally, lines, settling, signing, and the file. */
export default function SheetPage() {
  const { id = '' } = useParams<{ id: string }>();
  const may = useMay();
  const view = useApi(api.stocktakes.get, { params: { id } }, { refetchInterval: 15_000 });
  return (
    <Loaded query={view} what="Fetching the sheet">
      {({ stocktake, tally }) => {
        const unsigned = stocktake.status === 'open' || stocktake.status === 'reconciled';
        return (
          <Page
            title={stocktake.title}
            lead={<StatusLine stocktake={stocktake} />}
            actions={
              <>
                {unsigned && (
                  <LinkButton to={`/counts/${id}`} icon="scan">
                    Count
                  </LinkButton>
                )}
                <CsvButton stocktake={stocktake} />
              </>
            }
          >
            <TallyFigures tally={tally} />
            {unsigned && may('keep') && (
              <div className="columns">
                <Card title="Settle the differences">
                  <SettleForm stocktakeId={id} tally={tally} />
                </Card>
                <Card title="Sign">
                  <SignForm stocktake={stocktake} />
                </Card>
              </div>
            )}
            <SheetLines stocktakeId={id} />
          </Page>
        );
      }}
    </Loaded>
  );
}

function StatusLine({ stocktake }: { stocktake: Stocktake }) {
  const { words, tone } = STATUS_WORDS[stocktake.status];
  return (
    <span className="line">
      <span className="code">{stocktake.code}</span>
      <Mark tone={tone}>{words}</Mark>
      <span>opened {format.dateTime(stocktake.openedAt)}</span>
      {stocktake.signedAt && <span>signed {format.dateTime(stocktake.signedAt)}</span>}
    </span>
  );
}

function CsvButton({ stocktake }: { stocktake: Stocktake }) {
  const [busy, setBusy] = useState(false);
  const [error, setError] = useState<unknown>(null);
  const fetchSheet = async () => {
    setBusy(true);
    setError(null);
    try {
      const { bytes } = await client.file(api.stocktakes.sheet, { params: { id: stocktake.id } });
      download(bytes, `${stocktake.code}.csv`, 'text/csv');
    } catch (cause) {
      setError(cause);
    } finally {
      setBusy(false);
    }
  };
  return (
    <>
      <Button icon="download" busy={busy} onClick={() => void fetchSheet()}>
        Sheet as CSV
      </Button>
      {error !== null && <Failed error={error} />}
    </>
  );
}
