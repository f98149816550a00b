import type { PlanView } from '@rundlet/contracts';
import { useEffect, useState } from 'react';
import { VatCaution } from '../../aisle/cautions.tsx';
import { VatGaugeForm } from '../../aisle/vats/vat-gauge-form.tsx';
import { api, useApi } from '../../data/client.ts';
import { useMay } from '../../data/session.tsx';
import { Card, Empty, format, Loaded } from '../../kit/kit.ts';
import { CompleteForm } from './complete-form.tsx';
import { DrawForm } from './draw-form.tsx';
import { nextStep, stepStates, STEP_WORDS, type Step } from './plan-steps.ts';
import { ReserveForm } from './reserve-form.tsx';
import { ScanOut } from './scan-out.tsx';
import { TrimView } from './trim-view.tsx';
import './plan.css';

/** The plan's work step by step: reserve, fetch, draw, gauge, trim with water, record what the vat came to. */
export function CarryOut({ view }: { view: PlanView }) {
  const may = useMay();
  const next = nextStep(view);
  const [chosen, setChosen] = useState<Step>(next);
  // When a step is finished the following one is laid out.
  useEffect(() => {
    setChosen(next);
  }, [next]);
  const { plan } = view;
  if (plan.status === 'vatted' || plan.status === 'cancelled') return null;
  if (!may('blend') && !may('warehouse')) return null;
  return (
    <div className="stack">
      <ol className="steps" aria-label="Steps">
        {stepStates(view).map(({ step, done, words }, i) => (
          <li key={step}>
            <button
              type="button"
              className="step"
              aria-current={step === chosen ? 'step' : undefined}
              disabled={step === 'reserve' ? plan.status !== 'saved' : plan.status === 'saved'}
              onClick={() => {
                setChosen(step);
              }}
            >
              <span>
                {done ? '✓ ' : `${String(i + 1)} `}
                {STEP_WORDS[step]}
              </span>
              <small>{words || (done ? 'done' : step === next ? 'next' : '')}</small>
            </button>
          </li>
        ))}
      </ol>
      <StepCard view={view} step={plan.status === 'saved' ? 'reserve' : chosen} />
    </div>
  );
}

function StepCard({ view, step }: { view: PlanView; step: Step }) {
  const { plan, picks, vat } = view;
  const vatId = plan.vatId ?? '';
  switch (step) {
    case 'reserve':
      return (
        <Card title="Reserve the casks">
          <ReserveForm view={view} />
        </Card>
      );
    case 'scan':
      return (
        <Card title="Scan out, in the aisle">
          <ScanOut view={view} />
        </Card>
      );
    case 'draw':
      return (
        <Card title={`Draw into ${vat?.name ?? 'the vat'}`}>
          <div className="stack">
            <VatCaution />
            {picks.every((p) => p.drawn) ? (
              <Empty title="Every cask is drawn">Gauge the vat next.</Empty>
            ) : (
              <DrawForm key={plan.drawn.length} view={view} vatId={vatId} />
            )}
          </div>
        </Card>
      );
    case 'gauge':
      return (
        <Card title={`Gauge ${vat?.name ?? 'the vat'}`}>
          <div className="stack">
            {vat && (
              <p>
                By the book it holds {format.litres(vat.figures.bulkLitresAt20C)} at{' '}
                {format.strength(vat.figures.strengthPercentVol, 2)}
                {vat.lastGaugedAt
                  ? `; gauged ${format.dateTime(vat.lastGaugedAt)}.`
                  : '. What it really holds decides the water.'}
              </p>
            )}
            <VatGauge vatId={vatId} />
          </div>
        </Card>
      );
    case 'trim':
      return (
        <Card title="Water to add now">
          <div className="stack">
            <VatCaution />
            <TrimView view={view} vatId={vatId} />
          </div>
        </Card>
      );
    case 'record':
      return (
        <Card title="When the vat has rested: record the blend">
          {plan.drawn.length > 0 ? (
            <CompleteForm plan={plan} />
          ) : (
            <Empty title="Nothing is drawn yet">
              Draw the casks first; what is then in the vat becomes the blend.
            </Empty>
          )}
        </Card>
      );
  }
}

function VatGauge({ vatId }: { vatId: string }) {
  const query = useApi(api.places.vat, { params: { id: vatId } });
  return <Loaded query={query}>{({ vat }) => <VatGaugeForm vat={vat} />}</Loaded>;
}
