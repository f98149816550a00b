import { api, type Stocktake } from '@rundlet/contracts';
import { useParams } from 'wouter';
import { useApi } from '../../data/client.ts';
import { FileButton } from '../../data/file-button.tsx';
import { useMay } from '../../data/session.tsx';
import { Card, format, LinkButton, Loaded, Mark, Page } from '../../kit/kit.ts';
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
                <FileButton
                  endpoint={api.stocktakes.sheetPdf}
                  input={{ params: { id } }}
                  label="Sheet as PDF"
                />
                <FileButton
                  endpoint={api.stocktakes.sheet}
                  input={{ params: { id } }}
                  label="Sheet as CSV"
                />
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
