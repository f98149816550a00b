import type { LiquidFigures } from '@rundlet/contracts';
import { Figure, Figures, format, Notice } from '../../kit/kit.ts';
import type { Live } from './live.ts';

export { useLiveFigures } from './live.ts';

/** Litres at 20 °C, strength and LPA as they come out while the readings go in. */
export function LiveFigures({
  live,
  before,
  beforeWords = 'by the book',
}: {
  live: Live;
  /** What the book says just now, to set the difference beside. */
  before?: LiquidFigures | null;
  beforeWords?: string;
}) {
  if (live.message !== null)
    return (
      <Notice tone="bad" live title="A reading is out of range">
        {live.message}
      </Notice>
    );
  const { gauged } = live;
  const difference = (value: number | undefined, then: number | undefined, decimals: number) =>
    value === undefined || then === undefined
      ? null
      : `${format.signed(value - then, decimals)} on ${format.number(then, decimals)} ${beforeWords}`;
  return (
    <div aria-live="polite" className="stack-tight">
      <p className="figures-title">At 20 °C</p>
      <Figures>
        <Figure
          label="Bulk"
          value={gauged?.bulkLitresAt20C}
          unit="L"
          decimals={1}
          origin="calculated"
          plusMinus={gauged?.uncertainties.litres}
          extra={difference(gauged?.bulkLitresAt20C, before?.bulkLitresAt20C, 1)}
        />
        <Figure
          label="Strength"
          value={gauged?.strengthPercentVol}
          unit="% vol"
          decimals={2}
          origin="calculated"
          plusMinus={gauged?.uncertainties.percentVol}
          extra={difference(gauged?.strengthPercentVol, before?.strengthPercentVol, 2)}
        />
        <Figure
          label="Pure alcohol"
          value={gauged?.litresPureAlcohol}
          unit="LPA"
          decimals={2}
          origin="calculated"
          plusMinus={gauged?.uncertainties.litresPureAlcohol}
          extra={difference(gauged?.litresPureAlcohol, before?.litresPureAlcohol, 2)}
        />
      </Figures>
    </div>
  );
}
