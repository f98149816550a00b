import {
  FORMULA_SOURCES,
  strengthFromDensity,
  strengthFromHydrometer,
} from '@rundlet/alcoholometry';
import { useState } from 'react';
import { ChoiceField, Figure, NumberField } from '../../kit/kit.ts';
import { attempt, Sum } from './sum.tsx';

export function StrengthSum() {
  const [kind, setKind] = useState<'hydrometer' | 'densitometer'>('hydrometer');
  const [reading, setReading] = useState<number | null>(null);
  const [temperatureC, setTemperature] = useState<number | null>(null);
  const [obscuration, setObscuration] = useState<number | null>(null);
  const result =
    reading === null || temperatureC === null
      ? null
      : attempt(() =>
          kind === 'hydrometer'
            ? strengthFromHydrometer({
                readingPercentVol: reading,
                temperatureC,
                ...(obscuration === null ? {} : { obscurationPercentVol: obscuration }),
              })
            : strengthFromDensity(reading, temperatureC),
        );
  return (
    <Sum
      title="Strength from a reading"
      source={`${FORMULA_SOURCES.strength}; ${FORMULA_SOURCES.hydrometer}.`}
      result={result}
      inputs={
        <>
          <ChoiceField
            label="Read with"
            value={kind}
            onChange={setKind}
            choices={[
              { value: 'hydrometer', label: 'Hydrometer' },
              { value: 'densitometer', label: 'Density meter' },
            ]}
          />
          <NumberField
            label="Reading"
            unit={kind === 'hydrometer' ? '% vol' : 'kg/m³'}
            value={reading}
            onChange={setReading}
          />
          <NumberField
            label="Temperature"
            unit="°C"
            value={temperatureC}
            onChange={setTemperature}
          />
          {kind === 'hydrometer' && (
            <NumberField
              label="Obscuration"
              hint="From dissolved solids; empty for none"
              unit="% vol"
              value={obscuration}
              onChange={setObscuration}
            />
          )}
        </>
      }
    >
      {(strength) => (
        <Figure
          large
          label="Strength at 20 °C"
          value={strength}
          unit="% vol"
          decimals={2}
          origin="calculated"
        />
      )}
    </Sum>
  );
}
