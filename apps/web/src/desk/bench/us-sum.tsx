import { FORMULA_SOURCES, usSpiritFromVolume, volumeFromUsSpirit } from '@rundlet/alcoholometry';
import { useState } from 'react';
import { ChoiceField, Figure, NumberField } from '../../kit/kit.ts';
import { attempt, Sum } from './sum.tsx';

/** Between litres and % vol at 20 °C and US gallons and proof at 60 °F. */
export function UsSum() {
  const [way, setWay] = useState<'to-us' | 'from-us'>('to-us');
  const [volume, setVolume] = useState<number | null>(null);
  const [strength, setStrength] = useState<number | null>(null);
  const toUs = way === 'to-us';
  const result =
    volume === null || strength === null
      ? null
      : attempt(() =>
          toUs
            ? { us: usSpiritFromVolume(volume, strength) }
            : { metric: volumeFromUsSpirit(volume, strength) },
        );
  return (
    <Sum
      title="US proof and gallons"
      source={`${FORMULA_SOURCES.usProof}. A US gauge of record needs the regulation’s own Table 1.`}
      result={result}
      inputs={
        <>
          <ChoiceField
            label="From"
            value={way}
            onChange={setWay}
            choices={[
              { value: 'to-us', label: 'litres and % vol' },
              { value: 'from-us', label: 'wine gallons and proof' },
            ]}
          />
          <NumberField
            label="Volume"
            unit={toUs ? 'L at 20 °C' : 'wine gal at 60 °F'}
            value={volume}
            onChange={setVolume}
          />
          <NumberField
            label="Strength"
            unit={toUs ? '% vol' : 'proof'}
            value={strength}
            onChange={setStrength}
          />
        </>
      }
    >
      {(r) =>
        'us' in r && r.us ? (
          <>
            <Figure
              large
              label="Proof"
              value={r.us.proof}
              unit="at 60 °F"
              decimals={1}
              origin="calculated"
            />
            <Figure
              label="Wine gallons"
              value={r.us.wineGallonsAt60F}
              unit="at 60 °F"
              decimals={2}
              origin="calculated"
            />
            <Figure
              label="Proof gallons"
              value={r.us.proofGallons}
              unit="PG"
              decimals={2}
              origin="calculated"
            />
          </>
        ) : (
          'metric' in r &&
          r.metric && (
            <>
              <Figure
                large
                label="Volume at 20 °C"
                value={r.metric.bulkLitresAt20C}
                unit="L"
                decimals={2}
                origin="calculated"
              />
              <Figure
                label="Strength at 20 °C"
                value={r.metric.strengthPercentVol}
                unit="% vol"
                decimals={2}
                origin="calculated"
              />
              <Figure
                label="Pure alcohol"
                value={r.metric.litresPureAlcohol}
                unit="LPA"
                decimals={2}
                origin="calculated"
              />
            </>
          )
        )
      }
    </Sum>
  );
}
