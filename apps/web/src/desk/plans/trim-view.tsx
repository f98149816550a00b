import { densityKgPerM3 } from '@rundlet/alcoholometry';
import type { PlanView, VatTrim } from '@rundlet/contracts';
import { useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { api, useApi } from '../../data/client.ts';
import {
  Button,
  Figure,
  Figures,
  format,
  Loaded,
  Notice,
  NumberField,
  Table,
} from '../../kit/kit.ts';

/** Below this no meter shows anything. */
const LEAST_WATER_KG = 0.05;
const USUAL_STEP = 3;

/** The water worked out again from what is really in the vat, booked step by step. */
export function TrimView({ view, vatId }: { view: PlanView; vatId: string }) {
  const [step, setStep] = useState<number | null>(USUAL_STEP);
  const stepPercentVol = step !== null && step >= 0.1 && step <= 60 ? step : USUAL_STEP;
  const query = useApi(
    api.blends.trim,
    { params: { id: view.plan.id }, query: { stepPercentVol } },
    { staleTime: 0, refetchInterval: 10_000 },
  );
  return (
    <div className="stack">
      <Loaded query={query}>
        {(trim) => (
          <div className="stack">
            <TrimFigures trim={trim} />
            {trim.steps.length > 0 && trim.waterKg >= LEAST_WATER_KG && (
              <>
                <div className="grid-tight">
                  <NumberField
                    label="Lower by at most, a step"
                    unit="% vol"
                    value={step}
                    onChange={setStep}
                  />
                </div>
                <Table
                  caption="Water in steps"
                  rows={trim.steps}
                  rowKey={(s) => String(s.step)}
                  columns={[
                    { key: 'step', title: 'Step', numeric: true, cell: (s) => s.step },
                    {
                      key: 'water',
                      title: 'Water, L at 20 °C',
                      numeric: true,
                      cell: (s) => format.number(s.waterLitresAt20C, 1),
                    },
                    {
                      key: 'kg',
                      title: 'or kg',
                      numeric: true,
                      cell: (s) => format.number(s.waterKg, 1),
                    },
                    {
                      key: 'bulk',
                      title: 'Comes to, L',
                      numeric: true,
                      cell: (s) => format.number(s.bulkLitresAt20C, 1),
                    },
                    {
                      key: 'strength',
                      title: '% vol',
                      numeric: true,
                      cell: (s) => format.number(s.strengthPercentVol, 2),
                    },
                  ]}
                />
                <Rest view={view} />
                <BookWater
                  key={`${String(trim.steps[0]?.waterKg)}`}
                  vatId={vatId}
                  name={view.vat?.name ?? 'the vat'}
                  kg={trim.steps[0]?.waterKg ?? 0}
                  more={trim.steps.length > 1}
                />
              </>
            )}
            {trim.reachable && trim.waterKg < LEAST_WATER_KG && (
              <>
                <Notice tone="good">The vat is at its strength; no more water is needed.</Notice>
                <Rest view={view} />
              </>
            )}
          </div>
        )}
      </Loaded>
    </div>
  );
}

function TrimFigures({ trim }: { trim: VatTrim }) {
  return (
    <div className="stack-tight">
      <Notice tone={trim.reachable ? 'plain' : 'bad'}>{trim.message}</Notice>
      <Figures>
        <Figure
          label="In the vat"
          value={trim.vatLitresAt20C}
          unit="L at 20 °C"
          origin="calculated"
        />
        <Figure
          label="at"
          value={trim.vatStrengthPercentVol}
          unit="% vol"
          decimals={2}
          origin="calculated"
        />
        {trim.reachable && (
          <>
            <Figure
              label="Water"
              value={trim.waterLitresAt20C}
              unit="L at 20 °C"
              origin="calculated"
              extra={
                trim.leastWaterLitresAt20C !== null &&
                trim.mostWaterLitresAt20C !== null &&
                `within tolerance from ${format.number(Math.max(0, trim.leastWaterLitresAt20C), 1)} to ${format.number(trim.mostWaterLitresAt20C, 1)} L`
              }
            />
            <Figure
              label="Comes to"
              value={trim.resultLitresAt20C}
              unit="L at 20 °C"
              origin="calculated"
            />
            <Figure
              label="at"
              value={trim.resultStrengthPercentVol}
              unit="% vol"
              decimals={2}
              origin="calculated"
            />
          </>
        )}
      </Figures>
    </div>
  );
}

/** How long the vat has rested since water last went in. */
function Rest({ view: { vat } }: { view: PlanView }) {
  return (
    <p className="soft">
      {vat?.lastReducedAt
        ? `Water last went in ${format.dateTime(vat.lastReducedAt)}: ${restWords(vat.lastReducedAt)} of rest so far. `
        : ''}
      Reducing in steps with a rest between them is common practice; how long is the blender’s to
      say.
    </p>
  );
}

function restWords(since: string): string {
  const hours = Math.max(0, (Date.now() - Date.parse(since)) / 3_600_000);
  if (hours < 1) return `${format.number(hours * 60)} min`;
  return hours < 48 ? `${format.number(hours, 1)} h` : `${format.number(hours / 24, 1)} days`;
}

function BookWater({
  vatId,
  name,
  kg,
  more,
}: {
  vatId: string;
  name: string;
  kg: number;
  more: boolean;
}) {
  const act = useAct('vat.reduce');
  const [temperatureC, setTemperatureC] = useState<number | null>(20);
  const [typed, setTyped] = useState<number | null>(null);
  const at = Math.min(40, Math.max(0, temperatureC ?? 20));
  const water = typed ?? Math.round((10 * kg * 1000) / densityKgPerM3(0, at)) / 10;
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void act.run(
          { vatId, waterLitres: water, waterTemperatureC: temperatureC ?? 20 },
          `Reduce ${name} with ${format.litres(water)} of water`,
        );
      }}
    >
      <div className="grid">
        <NumberField
          label="Water that went in"
          hint="As metered, at its own temperature"
          unit="L"
          value={water}
          onChange={setTyped}
          error={act.errors.at('/waterLitres')}
        />
        <NumberField
          label="Water temperature"
          unit="°C"
          value={temperatureC}
          onChange={setTemperatureC}
          error={act.errors.at('/waterTemperatureC')}
        />
      </div>
      <ActOutcome
        act={act}
        pointers={['/waterLitres', '/waterTemperatureC']}
        applied="Booked. Mix well, let it rest, then gauge it."
      />
      <div>
        <Button kind="main" icon="drop" type="submit" busy={act.busy}>
          {more ? 'Book this step' : 'Book the water'}
        </Button>
      </div>
    </form>
  );
}
