import { FORMULA_SOURCES, litresAt20C, litresPureAlcohol } from '@rundlet/alcoholometry';
import { useState } from 'react';
import { Figure, NumberField } from '../../kit/kit.ts';
import { attempt, Sum } from './sum.tsx';

export function VolumeSum() {
  const [litres, setLitres] = useState<number | null>(null);
  const [temperatureC, setTemperature] = useState<number | null>(null);
  const [strength, setStrength] = useState<number | null>(null);
  const result =
    litres === null || temperatureC === null || strength === null
      ? null
      : attempt(() => {
          const bulk = litresAt20C(litres, temperatureC, strength);
          return { bulk, lpa: litresPureAlcohol(bulk, strength) };
        });
  return (
    <Sum
      title="Litres at 20 °C"
      source={`${FORMULA_SOURCES.volumeAt20C}.`}
      result={result}
      inputs={
        <>
          <NumberField label="Volume as measured" unit="L" value={litres} onChange={setLitres} />
          <NumberField label="at" unit="°C" value={temperatureC} onChange={setTemperature} />
          <NumberField
            label="Strength at 20 °C"
            unit="% vol"
            value={strength}
            onChange={setStrength}
          />
        </>
      }
    >
      {({ bulk, lpa }) => (
        <>
          <Figure
            large
            label="Volume at 20 °C"
            value={bulk}
            unit="L"
            decimals={2}
            origin="calculated"
          />
          <Figure
            large
            label="Pure alcohol"
            value={lpa}
            unit="LPA"
            decimals={2}
            origin="calculated"
          />
        </>
      )}
    </Sum>
  );
}
