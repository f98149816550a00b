import { FORMULA_SOURCES, liquidFromVolume, mix, volumeOfLiquid } from '@rundlet/alcoholometry';
import { useState } from 'react';
import { Figure, NumberField } from '../../kit/kit.ts';
import { attempt, Sum } from './sum.tsx';

export function MixSum() {
  const [litresA, setLitresA] = useState<number | null>(null);
  const [strengthA, setStrengthA] = useState<number | null>(null);
  const [litresB, setLitresB] = useState<number | null>(null);
  const [strengthB, setStrengthB] = useState<number | null>(null);
  const result =
    litresA === null || strengthA === null || litresB === null || strengthB === null
      ? null
      : attempt(() => ({
          ...volumeOfLiquid(
            mix(liquidFromVolume(litresA, strengthA), liquidFromVolume(litresB, strengthB)),
          ),
          poured: litresA + litresB,
        }));
  return (
    <Sum
      title="Mix two spirits"
      source={`${FORMULA_SOURCES.mixing}.`}
      result={result}
      inputs={
        <>
          <NumberField label="First spirit" unit="L" value={litresA} onChange={setLitresA} />
          <NumberField
            label="its strength"
            unit="% vol"
            value={strengthA}
            onChange={setStrengthA}
          />
          <NumberField label="Second spirit" unit="L" value={litresB} onChange={setLitresB} />
          <NumberField
            label="its strength"
            unit="% vol"
            value={strengthB}
            onChange={setStrengthB}
          />
        </>
      }
    >
      {(r) => (
        <>
          <Figure
            large
            label="Strength"
            value={r.strengthPercentVol}
            unit="% vol"
            decimals={2}
            origin="calculated"
          />
          <Figure
            large
            label="Volume at 20 °C"
            value={r.bulkLitresAt20C}
            unit="L"
            decimals={2}
            origin="calculated"
          />
          <Figure
            label="Contraction"
            value={r.poured - r.bulkLitresAt20C}
            unit="L"
            decimals={2}
            origin="calculated"
          />
          <Figure
            label="Pure alcohol"
            value={r.litresPureAlcohol}
            unit="LPA"
            decimals={2}
            origin="calculated"
          />
        </>
      )}
    </Sum>
  );
}
