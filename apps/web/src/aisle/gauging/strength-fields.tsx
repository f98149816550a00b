import { ChoiceField, NumberField, type FieldErrors } from '../../kit/kit.ts';
import type { ReadingsDraft, StrengthKind } from './readings-draft.ts';

const KINDS: readonly { value: StrengthKind; label: string }[] = [
  { value: 'hydrometer', label: 'Hydrometer' },
  { value: 'densitometer', label: 'Density meter' },
  { value: 'laboratory', label: 'Laboratory' },
];

/** How strong it is, by the instrument it was read on. */
export function StrengthFields({
  draft,
  change,
  errors,
  base,
}: {
  draft: ReadingsDraft;
  change: (part: Partial<ReadingsDraft>) => void;
  errors: FieldErrors;
  base: string;
}) {
  const at = (name: string) => errors.at(`${base}/strength/${name}`);
  return (
    <>
      <ChoiceField
        label="Strength read on"
        value={draft.strengthKind}
        onChange={(strengthKind) => {
          change({ strengthKind });
        }}
        choices={KINDS}
      />
      <div className="grid-tight">
        {draft.strengthKind === 'hydrometer' && (
          <>
            <NumberField
              label="Reading"
              hint="As it shows"
              unit="% vol"
              value={draft.readingPercentVol}
              onChange={(readingPercentVol) => {
                change({ readingPercentVol });
              }}
              error={at('readingPercentVol')}
            />
            <SampleTemperature {...{ draft, change }} error={at('temperatureC')} />
            <NumberField
              label="Obscuration"
              hint="If known; added"
              unit="% vol"
              value={draft.obscurationPercentVol}
              onChange={(obscurationPercentVol) => {
                change({ obscurationPercentVol });
              }}
              error={at('obscurationPercentVol')}
            />
          </>
        )}
        {draft.strengthKind === 'densitometer' && (
          <>
            <NumberField
              label="Density"
              unit="kg/m³"
              value={draft.densityKgPerM3}
              onChange={(densityKgPerM3) => {
                change({ densityKgPerM3 });
              }}
              error={at('densityKgPerM3')}
            />
            <SampleTemperature {...{ draft, change }} error={at('temperatureC')} />
          </>
        )}
        {draft.strengthKind === 'laboratory' && (
          <NumberField
            label="Strength at 20 °C"
            unit="% vol"
            value={draft.laboratoryPercentVol}
            onChange={(laboratoryPercentVol) => {
              change({ laboratoryPercentVol });
            }}
            error={at('strengthPercentVol')}
          />
        )}
      </div>
    </>
  );
}

function SampleTemperature({
  draft,
  change,
  error,
}: {
  draft: ReadingsDraft;
  change: (part: Partial<ReadingsDraft>) => void;
  error: string | undefined;
}) {
  return (
    <NumberField
      label="At"
      hint={
        draft.liquidTemperatureC === null
          ? 'Sample in the jar'
          : `Empty: ${String(draft.liquidTemperatureC)} °C`
      }
      unit="°C"
      value={draft.strengthTemperatureC}
      onChange={(strengthTemperatureC) => {
        change({ strengthTemperatureC });
      }}
      error={error}
    />
  );
}
