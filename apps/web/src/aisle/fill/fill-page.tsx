import { api, type VatView } from '@rundlet/contracts';
import { useState } from 'react';
import { useApi } from '../../data/client.ts';
import { Button, Card, Loaded, Loading, Notice, Page } from '../../kit/kit.ts';
import { FillingCaution, WeightCaution } from '../cautions.tsx';
import { VatField } from '../fields/vat-field.tsx';
import { VatBalance } from '../vats/vat-balance.tsx';
import { CloseVat } from './close-vat.tsx';
import { FillCask } from './fill-cask.tsx';
import { FilledList } from './filled-list.tsx';
import { ReduceForm } from './reduce-form.tsx';
import { runTotal, useFillRun, type FillRun } from './run.ts';

/** A run of fills from one vat: reduce, fill cask after cask, close the balance, print labels. */
export default function FillPage() {
  const [run, setRun] = useFillRun();
  return (
    <Page
      title="Fill a run"
      lead="One vat, cask after cask. The vat’s balance closes at the end and the difference is booked."
    >
      {run === undefined ? (
        <Loading />
      ) : run === null ? (
        <ChooseVat onStart={setRun} />
      ) : (
        <Run run={run} onChange={setRun} />
      )}
      <FillingCaution />
      <WeightCaution />
    </Page>
  );
}

function ChooseVat({ onStart }: { onStart: (run: FillRun) => void }) {
  const [view, setView] = useState<VatView | null>(null);
  return (
    <Card title="1. Which vat">
      <div className="stack">
        <VatField
          label="Fill from"
          value={view?.vat.id ?? ''}
          onChange={(_, chosen) => {
            setView(chosen);
          }}
          only={({ vat }) => vat.figures.litresPureAlcohol > 0}
        />
        {view && <VatBalance view={view} />}
        <div>
          <Button
            kind="main"
            icon="fill"
            disabled={!view}
            onClick={() => {
              if (view)
                onStart({
                  vatId: view.vat.id,
                  startLitresPureAlcohol: view.vat.figures.litresPureAlcohol,
                  startedAt: new Date().toISOString(),
                  filled: [],
                  closedWith: null,
                });
            }}
          >
            Begin the run
          </Button>
        </div>
      </div>
    </Card>
  );
}

function Run({ run, onChange }: { run: FillRun; onChange: (run: FillRun | null) => void }) {
  const vat = useApi(api.places.vat, { params: { id: run.vatId } });
  const open = run.closedWith === null;
  const [closing, setClosing] = useState(false);
  return (
    <Loaded query={vat} what="Fetching the vat">
      {(view) => (
        <div className="columns">
          <div className="stack">
            {open && run.filled.length === 0 && (
              <Card title="2. Reduce to filling strength">
                <ReduceForm vat={view.vat} />
              </Card>
            )}
            {open && !closing && (
              <Card title={`3. Cask ${String(run.filled.length + 1)}`}>
                <FillCask
                  key={run.filled.length}
                  vat={view.vat}
                  run={run}
                  onFilled={(cask) => {
                    onChange({ ...run, filled: [...run.filled, cask] });
                  }}
                />
              </Card>
            )}
            {open && run.filled.length > 0 && (
              <Card title="4. Close the vat’s balance">
                {closing ? (
                  <CloseVat
                    view={view}
                    intoCasks={runTotal(run).litresPureAlcohol}
                    onClosed={(closedWith) => {
                      onChange({ ...run, closedWith });
                    }}
                    onBack={() => {
                      setClosing(false);
                    }}
                  />
                ) : (
                  <Button
                    icon="check"
                    onClick={() => {
                      setClosing(true);
                    }}
                  >
                    That was the last cask
                  </Button>
                )}
              </Card>
            )}
            {!open && (
              <Closed
                run={run}
                onEnd={() => {
                  onChange(null);
                }}
              />
            )}
          </div>
          <div className="stack">
            <VatBalance view={view} />
            <FilledList run={run} />
            {open && run.filled.length === 0 && (
              <div>
                <Button
                  kind="quiet"
                  onClick={() => {
                    onChange(null);
                  }}
                >
                  Choose another vat
                </Button>
              </div>
            )}
          </div>
        </div>
      )}
    </Loaded>
  );
}

function Closed({ run, onEnd }: { run: FillRun; onEnd: () => void }) {
  const difference = run.closedWith ?? 0;
  return (
    <Notice
      tone="good"
      live
      title="The run is closed"
      actions={<Button onClick={onEnd}>Begin another run</Button>}
    >
      {Math.abs(difference) < 0.005
        ? 'Vat and casks agree; nothing had to be booked.'
        : `A filling difference of ${difference > 0 ? '+' : '−'}${Math.abs(difference).toFixed(2)} LPA is booked.`}
    </Notice>
  );
}
