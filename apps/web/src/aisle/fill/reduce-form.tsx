import { densityKgPerM3, waterToReduce } from '@rundlet/alcoholometry';
import type { Vat } from '@rundlet/contracts';
import { useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { Button, Figure, Figures, format, NumberField } from '../../kit/kit.ts';

/** Below this no meter shows anything. */
const LEAST_WATER_KG = 0.05;

/** Water to bring a vat down to a strength, with the contraction counted; then books the water that went in. */
export function ReduceForm({ vat }: { vat: Vat }) {
  const act = useAct('vat.reduce');
  const [target, setTarget] = useState<number | null>(null);
  const [temperatureC, setTemperatureC] = useState<number | null>(null);
  const [added, setAdded] = useState<number | null>(null);
  const plan = target === null ? null : planFor(vat, target);
  const waterTemperatureC = temperatureC ?? 20;
  const toMeter =
    plan && 'waterKg' in plan
      ? (plan.waterKg * 1000) / densityKgPerM3(0, Math.min(40, Math.max(0, waterTemperatureC)))
      : null;
  const water = added ?? (toMeter === null ? null : Math.round(toMeter * 10) / 10);
  const submit = async () => {
    if (water === null) return;
    const result = await act.run(
      { vatId: vat.id, waterLitres: water, waterTemperatureC },
      `Reduce ${vat.name} with ${format.litres(water)} of water`,
    );
    if (result?.status === 'applied') {
      setTarget(null);
      setAdded(null);
    }
  };
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void submit();
      }}
    >
      <div className="grid">
        <NumberField
          label="Filling strength wanted"
          hint={`Now ${format.strength(vat.figures.strengthPercentVol, 2)}; leave empty to fill as it is`}
          unit="% vol"
          value={target}
          onChange={setTarget}
          error={plan && 'message' in plan ? plan.message : undefined}
        />
        <NumberField
          label="Water temperature"
          hint="Empty: 20 °C"
          unit="°C"
          value={temperatureC}
          onChange={setTemperatureC}
          error={act.errors.at('/waterTemperatureC')}
        />
      </div>
      {plan && 'waterKg' in plan && plan.waterKg < LEAST_WATER_KG && (
        <p>The vat is at that strength already; nothing has to be added.</p>
      )}
      {plan && 'waterKg' in plan && plan.waterKg >= LEAST_WATER_KG && (
        <>
          <Figures>
            <Figure
              label="Water to add"
              value={toMeter}
              unit={`L at ${String(waterTemperatureC)} °C`}
              origin="calculated"
            />
            <Figure label="or by weight" value={plan.waterKg} unit="kg" origin="calculated" />
            <Figure
              label="Contraction"
              value={plan.contractionLitres}
              unit="L"
              origin="calculated"
              extra="volumes do not add"
            />
            <Figure
              label="Comes to"
              value={plan.resultLitresAt20C}
              unit="L at 20 °C"
              origin="calculated"
            />
          </Figures>
          <NumberField
            label="Water that went in"
            hint="As metered; change it if it was not exactly the figure above"
            unit="L"
            value={water}
            onChange={setAdded}
            error={act.errors.at('/waterLitres')}
          />
          <div>
            <Button type="submit" kind="main" icon="drop" busy={act.busy} disabled={water === null}>
              Book the reduction
            </Button>
          </div>
        </>
      )}
      <ActOutcome
        act={act}
        pointers={['/waterTemperatureC', '/waterLitres']}
        applied="The reduction is booked. Mix well and read the strength again before filling."
      />
    </form>
  );
}

function planFor(vat: Vat, target: number): ReturnType<typeof waterToReduce> | { message: string } {
  try {
    return waterToReduce(vat.figures, target);
  } catch (error) {
    if (error instanceof RangeError) return { message: error.message };
    throw error;
  }
}
