import { api, type Stocktake } from '@rundlet/contracts';
import { useState } from 'react';
import { useParams } from 'wouter';
import { client, useApi } from '../../data/client.ts';
import { download } from '../../data/download.ts';
import { useMay } from '../../data/session.tsx';
import { Button, Card, Failed, format, LinkButton, Loaded, Mark, Page } from '../../kit/kit.ts';
import { CountProgress } from './count-progress.tsx';
import { STATUS_WORDS } from './counts-page.tsx';
import { AbandonButton, RecountForm } from './more-forms.tsx';
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
                <FileButton stocktake={stocktake} kind="pdf" />
                <FileButton stocktake={stocktake} kind="csv" />
                {unsigned && may('keep') && <AbandonButton stocktake={stocktake} />}
              </>
            }
          >
            <TallyFigures tally={tally} />
            <CountProgress stocktakeId={id} />
            {unsigned && may('keep') && (
              <div className="columns">
                <Card title="Settle the differences">
                  <SettleForm stocktakeId={id} tally={tally} />
                </Card>
                <div className="stack">
                  <Card title="Count again">
                    <RecountForm stocktake={stocktake} />
                  </Card>
                  <Card title="Sign">
                    <SignForm stocktake={stocktake} />
                  </Card>
                </div>
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
      {stocktake.statement && <span>“{stocktake.statement}”</span>}
    </span>
  );
}

const FILES = {
  pdf: { endpoint: api.stocktakes.sheetPdf, type: 'application/pdf', label: 'Sheet as PDF' },
  csv: { endpoint: api.stocktakes.sheet, type: 'text/csv', label: 'Sheet as CSV' },
} as const;

function FileButton({ stocktake, kind }: { stocktake: Stocktake; kind: keyof typeof FILES }) {
  const { endpoint, type, label } = FILES[kind];
  const [busy, setBusy] = useState(false);
  const [error, setError] = useState<unknown>(null);
  const fetchSheet = async () => {
    setBusy(true);
    setError(null);
    try {
      const { bytes } = await client.file(endpoint, { params: { id: stocktake.id } });
      download(bytes, `${stocktake.code.replaceAll('/', '-')}.${kind}`, type);
    } catch (cause) {
      setError(cause);
    } finally {
      setBusy(false);
    }
  };
  return (
    <>
      <Button icon="download" busy={busy} onClick={() => void fetchSheet()}>
        {label}
      </Button>
      {error !== null && <Failed error={error} />}
    </>
  );
}
