import { NumberField } from '../../kit/kit.ts';

export interface Horizon {
  years: number;
  floorPercentVol: number;
}

/** How far to look, and the strength not to fall below. */
export function HorizonFields({
  value,
  onChange,
}: {
  value: Horizon;
  onChange: (value: Horizon) => void;
}) {
  return (
    <>
      <NumberField
        label="Look ahead"
        unit="years"
        value={value.years}
        error={value.years < 1 || value.years > 40 ? 'between 1 and 40 years' : undefined}
        onChange={(years) => {
          if (years !== null) onChange({ ...value, years });
        }}
      />
      <NumberField
        label="Strength floor"
        unit="% vol"
        hint="Set by the product and by local law."
        value={value.floorPercentVol}
        error={
          value.floorPercentVol < 0 || value.floorPercentVol > 100
            ? 'between 0 and 100 % vol'
            : undefined
        }
        onChange={(floorPercentVol) => {
          if (floorPercentVol !== null) onChange({ ...value, floorPercentVol });
        }}
      />
    </>
  );
}

export const isUsable = ({ years, floorPercentVol }: Horizon): boolean =>
  years >= 1 && years <= 40 && floorPercentVol >= 0 && floorPercentVol <= 100;
