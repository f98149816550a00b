import { FORMULA_SOURCES, waterToReduce } from '@rundlet/alcoholometry';
import { useState } from 'react';
import { Figure, NumberField } from '../../kit/kit.ts';
import { attempt, Sum } from './sum.tsx';

export function ReduceSum() {
  const [litres, setLitres] = useState<number | null>(null);
  const [strength, setStrength] = useState<number | null>(null);
  const [target, setTarget] = useState<number | null>(null);
  const result =
    litres === null || strength === null || target === null
      ? null
      : attempt(() =>
          waterToReduce({ bulkLitresAt20C: litres, strengthPercentVol: strength }, target),
        );
  return (
    <Sum
      title="Water to reduce"
      source={`${FORMULA_SOURCES.reduction}.`}
      result={result}
      inputs={
        <>
          <NumberField label="Spirit at 20 °C" unit="L" value={litres} onChange={setLitres} />
          <NumberField label="Strength" unit="% vol" value={strength} onChange={setStrength} />
          <NumberField label="Strength wanted" unit="% vol" value={target} onChange={setTarget} />
        </>
      }
    >
      {(r) => (
        <>
          <Figure
            large
            label="Water"
            value={r.waterLitresAt20C}
            unit="L at 20 °C"
            decimals={2}
            origin="calculated"
          />
          <Figure
            label="or by weight"
            value={r.waterKg}
            unit="kg"
            decimals={2}
            origin="calculated"
          />
          <Figure
            label="Comes to"
            value={r.resultLitresAt20C}
            unit="L at 20 °C"
            decimals={2}
            origin="calculated"
          />
          <Figure
            label="Contraction"
            value={r.contractionLitres}
            unit="L"
            decimals={2}
            origin="calculated"
            note="volumes do not add"
          />
        </>
      )}
    </Sum>
  );
}
